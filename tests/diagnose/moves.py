"""Frames whose places move as told: a field of motion in, a reading out."""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from tests.diagnose.builders import face, frame, measured

from eyeplane.records import Blur, FaceReading, FrameReading, ProbeReading

Vector = tuple[float, float]
Field = Callable[[float, float], Vector]  # (x, y) to motion (x, y), pixels, y down
SPOTS = ((300.0, 300.0), (3000.0, 250.0), (5600.0, 400.0), (400.0, 3600.0), (5500.0, 3500.0))
MIDDLE = (3000.0, 2000.0)


def shown(vector: Vector, *, disc_px: float = 1.0) -> Blur:
    """Return what is measured where the picture moved: a line, or no blur."""
    length = math.hypot(*vector)
    angle = math.degrees(math.atan2(-vector[1], vector[0])) % 180.0
    called = length >= 5.0
    size = measured(length if called else disc_px, 0.1)
    disc = measured(disc_px, 0.0)
    return Blur(
        kind="line" if called else "none",
        size_px=size if called else replace(disc, low=0.0, high=2.0),
        angle_deg=angle if called else None,
        disc_px=replace(disc, low=0.0, high=2.0),
        line_px=measured(max(length, 1.6), 0.1),
        line_angle_deg=angle,
        line_gain=20.0 if called else -1.5,
        sharp_gain=-25.0 if called else 0.0,
    )


def soft(size_px: float) -> Blur:
    """Return what is measured far out of focus."""
    return replace(
        shown((0.0, 0.0)),
        kind="disc",
        size_px=measured(size_px, 0.1),
        disc_px=measured(size_px, 0.1),
        line_px=measured(size_px * 0.7, 0.3),
        line_gain=-10.0,
        sharp_gain=-80.0,
    )


def head_at(
    middle: Vector, motion: Vector, beside: Sequence[tuple[str, Vector, Blur]] = ()
) -> FaceReading:
    """Return a head that moved, with hair and clothes as (name, place, blur)."""
    x, y = middle
    made = face(near_blur=shown(motion), box=(x - 300, y - 400, 600, 800), distance_mm=3000.0)
    extra = tuple(
        ProbeReading(name=name, at_px=at, depth_mm=None, depth_sd_mm=None, blur=b)
        for name, at, b in beside
    )
    return replace(made, probes=(*made.probes, *extra))


def scene(
    faces: Sequence[FaceReading],
    background: Sequence[tuple[Vector, Blur]] = (),
) -> FrameReading:
    """Return a frame with background places as (place, blur)."""
    made = frame(*faces)
    places = tuple(
        ProbeReading(name="background", at_px=at, depth_mm=None, depth_sd_mm=None, blur=b)
        for at, b in background
    )
    return replace(made, background=places)


def in_field(field: Field, *, heads: Sequence[Vector] = (MIDDLE,)) -> FrameReading:
    """Return a frame in which everything, people included, moved as a field says."""
    return scene(
        [head_at(at, field(*at)) for at in heads], [(at, shown(field(*at))) for at in SPOTS]
    )


def turning(degrees: float, centre: Vector, push: Vector = (0.0, 0.0)) -> Field:
    """Return the field of a turn about a centre, clockwise in the picture, with a push."""
    turn = math.radians(degrees)
    return lambda x, y: (
        -turn * (y - centre[1]) + push[0],
        turn * (x - centre[0]) + push[1],
    )
