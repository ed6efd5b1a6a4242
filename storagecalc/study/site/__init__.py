"""What the box asks of the place it stands in."""
