"""What changes buys. One act, one transaction, the acting member by keyword `by`."""
