"""How far before the eye the frame of glasses sits."""

import math

from eyeplane.people.head_depths import CORNEA_MM
from eyeplane.people.measures import BodyMeasure

VERTEX_DISTANCE_MM = BodyMeasure(
    mean_mm=13.0,
    sd_mm=2.5,
    source=(
        "back of the lens to the cornea: 12-14 mm is what dispensing opticians count on, 8-15 mm "
        "are worn (opticians' practice); spread from memory"
    ),
)
RIM_MM = BodyMeasure(mean_mm=2.0, sd_mm=1.5, source="lens and rim before it, from memory")


def glasses_frame_depth() -> BodyMeasure:
    """Return how far from the iris the front of a glasses frame lies.

    Returns
    -------
    BodyMeasure
        Along the direction in which the face looks, − before the iris: the cornea's depth less
        vertex distance and rim.

    Examples
    --------
    >>> glasses_frame_depth().mean_mm
    -18.0
    """
    return BodyMeasure(
        mean_mm=CORNEA_MM.mean_mm - VERTEX_DISTANCE_MM.mean_mm - RIM_MM.mean_mm,
        sd_mm=math.hypot(CORNEA_MM.sd_mm, VERTEX_DISTANCE_MM.sd_mm, RIM_MM.sd_mm),
        source=f"cornea, {VERTEX_DISTANCE_MM.source}; {RIM_MM.source}",
    )
