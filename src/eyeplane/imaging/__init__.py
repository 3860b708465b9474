"""From a file to pixels: whole frame small, windows in linear light, EXIF and pixel pitch."""

from eyeplane.imaging.kinds import RAW_SUFFIXES, SUFFIXES
from eyeplane.imaging.picture import LumaWindow, Picture, open_picture

__all__ = ["RAW_SUFFIXES", "SUFFIXES", "LumaWindow", "Picture", "open_picture"]
