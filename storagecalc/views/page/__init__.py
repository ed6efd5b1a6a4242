"""The live page and the report: one script, two hosts."""
