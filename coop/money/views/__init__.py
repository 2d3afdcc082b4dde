"""Pages of the books. Views parse, call one act or query, and render."""
