"""How much is held, month by month, and what options change in it."""
