"""What every desk gets."""
