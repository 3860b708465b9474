"""faces."""
