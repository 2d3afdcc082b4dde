"""Tags of the pages of buying."""
