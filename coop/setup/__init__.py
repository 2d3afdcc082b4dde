"""What `manage.py` needs before any package is installed: the standard library only."""
