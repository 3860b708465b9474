"""Faces of a frame: located, never identified; eyes, head pose, scale and depths."""

from eyeplane.faces.find import find_faces
from eyeplane.faces.glasses import glasses_place, wears_glasses
from eyeplane.faces.pose import angles_deg, rotation_of

__all__ = ["angles_deg", "find_faces", "glasses_place", "rotation_of", "wears_glasses"]
