"""The scenario: what the owner knows, declared once, checked here and nowhere else."""
