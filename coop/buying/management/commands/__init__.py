"""Commands of buying."""
