"""What was measured stays measured, what was typed for a kit or client stays known: one file.

Its parts are loaded when they are first asked for: a plan reads one row and is quick to start.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from eyeplane.store.contents import content_hash
    from eyeplane.store.kit_log import KeptCheck, KitLog
    from eyeplane.store.learned import KeptNumbers, read_learned
    from eyeplane.store.lessons import Lessons
    from eyeplane.store.place import default_store_path
    from eyeplane.store.readings import Store
    from eyeplane.store.remembered import Memory, Remembered
    from eyeplane.store.sessions import Sessions
    from eyeplane.store.sittings import Sittings

__all__ = [
    "KeptCheck",
    "KeptNumbers",
    "KitLog",
    "Lessons",
    "Memory",
    "Remembered",
    "Sessions",
    "Sittings",
    "Store",
    "content_hash",
    "default_store_path",
    "read_learned",
]
_LATER = {
    "contents": "content_hash",
    "kit_log": "KeptCheck KitLog",
    "learned": "KeptNumbers read_learned",
    "lessons": "Lessons",
    "place": "default_store_path",
    "readings": "Store",
    "remembered": "Memory Remembered",
    "sessions": "Sessions",
    "sittings": "Sittings",
}
_HOMES = {name: module for module, names in _LATER.items() for name in names.split()}


if not TYPE_CHECKING:  # else a type checker would take any name for one of this layer

    def __getattr__(name: str) -> object:
        """Return a part of the store from its module."""
        if name not in _HOMES:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)

    def __dir__() -> list[str]:
        """Return all public names, loaded or not."""
        return __all__
