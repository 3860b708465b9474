"""deliver."""
