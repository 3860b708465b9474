"""sitting."""
