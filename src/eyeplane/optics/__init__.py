"""optics."""
