"""Pages of people. One address and one view per act."""
