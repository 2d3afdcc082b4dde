"""What changes people. One act, one transaction, the acting member by keyword `by`."""
