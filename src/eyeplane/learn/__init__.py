"""What many frames teach about photographer, sitter and kit: fits with their intervals."""

__all__: list[str] = []
