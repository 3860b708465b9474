"""From kit, light, sitter and print to settings that will hold, and how often."""

__all__: list[str] = []
