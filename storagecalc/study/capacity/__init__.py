"""What fits, when the next step is ordered, and what stands in each month."""
