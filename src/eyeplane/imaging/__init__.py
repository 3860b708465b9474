"""From a file to pixels: whole frame small, windows in linear light, EXIF and pixel pitch."""

from eyeplane.imaging.kinds import RAW_SUFFIXES, SUFFIXES, file_kind
from eyeplane.imaging.picture import LumaWindow, Picture, open_picture

__all__ = ["RAW_SUFFIXES", "SUFFIXES", "LumaWindow", "Picture", "file_kind", "open_picture"]
