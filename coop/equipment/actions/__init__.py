"""What changes equipment. One act, one transaction."""
