"""Pages of buying: fetch, form, action, answer."""
