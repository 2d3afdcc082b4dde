"""Shared things: where each is, who has it, when it is free, and whether it is fit for use."""
