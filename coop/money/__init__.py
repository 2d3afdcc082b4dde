"""Accounts, movements, statements, squaring up."""
