"""diagnose."""
