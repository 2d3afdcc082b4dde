"""forms of notices."""
