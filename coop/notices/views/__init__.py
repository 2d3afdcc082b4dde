"""views of notices."""
