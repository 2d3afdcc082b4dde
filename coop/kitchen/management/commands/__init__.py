"""Commands of the kitchen, and of the demo, which needs all that stands below it."""
