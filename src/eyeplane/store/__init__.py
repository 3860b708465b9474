"""What was measured stays measured, what was typed for a kit or client stays known: one file."""

from eyeplane.store.contents import content_hash
from eyeplane.store.kit_log import KeptCheck, KitLog
from eyeplane.store.learned import KeptNumbers, read_learned
from eyeplane.store.lessons import Lessons
from eyeplane.store.place import default_store_path
from eyeplane.store.readings import Store
from eyeplane.store.remembered import Memory, Remembered

__all__ = [
    "KeptCheck",
    "KeptNumbers",
    "KitLog",
    "Lessons",
    "Memory",
    "Remembered",
    "Store",
    "content_hash",
    "default_store_path",
    "read_learned",
]
