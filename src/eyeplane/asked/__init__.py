"""What was asked: words as they are typed, read the same on the command line and in a page.

Its modules are asked for by their own names: the command line's help would else load them all.
"""

__all__: list[str] = []
