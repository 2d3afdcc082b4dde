"""What changes the books. One act, one transaction."""
