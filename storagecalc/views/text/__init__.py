"""The only rooms where a number becomes a string or a sentence."""
