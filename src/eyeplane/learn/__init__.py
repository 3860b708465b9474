"""What many frames teach about photographer, sitter and kit: fits with their intervals."""

from eyeplane.learn.lessons import learn_all

__all__ = ["learn_all"]
