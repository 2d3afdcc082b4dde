"""Forms of buying: they parse and explain, hold no rules and save nothing."""
