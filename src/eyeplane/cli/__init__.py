"""The command line: what people type; no physics, no SQL, no pixels."""

from eyeplane.cli.main import main

__all__ = ["main"]
