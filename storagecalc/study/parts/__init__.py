"""The parts of an evaluation: each one function from numbers to a frozen result."""
