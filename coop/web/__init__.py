"""What every page shares: middleware, template tags, static files, checks."""
