"""queries of notices."""
