"""Forms of the books. They parse and explain; they hold no rules and save nothing."""
