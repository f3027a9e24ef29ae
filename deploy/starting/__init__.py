"""What stands behind ``deploy/bootstrap.py``: it runs before anything is installed, so only the standard library."""
