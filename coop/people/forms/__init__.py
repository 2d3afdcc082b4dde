"""Forms of people: they parse and explain; the rules are in the actions."""
