"""imaging."""
