"""What was measured stays measured: readings in one SQLite file, found again by content."""

from eyeplane.store.contents import content_hash
from eyeplane.store.place import default_store_path
from eyeplane.store.readings import Store

__all__ = ["Store", "content_hash", "default_store_path"]
