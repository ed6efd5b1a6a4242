"""What is paid, when, for what."""
