"""Forms of the kitchen."""
