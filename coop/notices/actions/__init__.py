"""What changes notices."""
