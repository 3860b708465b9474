"""Light, pure: exposure, flash, fall-off and hardness; numbers only, no pixels, no files."""

__all__: list[str] = []
