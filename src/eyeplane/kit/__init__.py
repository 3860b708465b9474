"""Checks of the kit from its own frames: charts, focus, dust, glass, one kit against another."""

__all__: list[str] = []
