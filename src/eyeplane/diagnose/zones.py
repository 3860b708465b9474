"""The named places of a head that a focus can catch, with depths from the near iris."""

import math
from dataclasses import dataclass

from eyeplane.people import glasses_frame_depth, head_depth
from eyeplane.records import FaceReading, Measured

GLASSES_PARTS_MM = 6.0  # rim and bridge farther apart in depth than this are not sharp together
BRIDGE_MM = -20.0  # root of the nose before the iris: canonical face mesh, 57.9 less 37 mm
BRIDGE_SD_MM = 4.0  # from memory
# Lashes of one lid have all lengths: the longest stand a quarter farther out than the mean tip
# (mean length 7 mm, a third of the eye's width: Amador and others, J. R. Soc. Interface 12, 2015;
# upper ones up to 8 to 12 mm, from memory); nearer to the lid than a quarter is the eye's own.
LASH_FROM, LASH_TO = 0.25, 1.25  # of the mean tip's depth
LASH_SD_MM = 1.5  # of the whole fan; from memory
# Half of how deep a place itself is, in mm; from memory. Hair and clothes are folded deep.
EXTENT_MM = {
    "the brow": 2.0,
    "the tip of the nose": 2.0,
    "the bridge of the nose": 3.0,
    "the mouth": 3.0,
    "the ear": 12.0,
    "the far ear": 12.0,
    "the hair": 15.0,
    "the clothes": 20.0,
}
LEAST_EXTENT_MM = 2.0
# How a landmark or a probe is called; those left out are the eye's own
# depth within the error (iris, corner) or bare skin, which offers a focus nothing (cheek, chin).
SAID = {
    "near brow": "the brow",
    "far brow": "the far brow",
    "nose tip": "the tip of the nose",
    "mouth": "the mouth",
    "far iris": "the far eye",
    "near ear": "the ear",
    "far ear": "the far ear",
    "hair": "the hair",
    "clothes": "the clothes",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A place that a focus can catch.

    Attributes
    ----------
    name : str
        As it is said, with its article.
    depth_mm, depth_sd_mm : float
        Of its middle relative to the near iris, + farther, and the standard deviation of that.
    extent_mm : float
        Half of how deep the place itself is.
    blur_px : Measured or None
        Disc measured there; None where nothing was.
    """

    name: str
    depth_mm: float
    depth_sd_mm: float
    extent_mm: float
    blur_px: Measured | None = None


def zones_of(reading: FaceReading) -> tuple[Zone, ...]:
    """Return the places of one head that a focus can catch, near to far.

    Parameters
    ----------
    reading : FaceReading
        One face with its landmarks and probes.

    Returns
    -------
    tuple of Zone
        Lashes, bridge of the nose and (if worn) glasses by the pose; the others by landmarks and
        probes of known depth; the temple halfway from the corner of the eye to the ear.

    Notes
    -----
    What stands out d mm before the near eye along the direction in which the face looks lies
    d cos(yaw) cos(pitch) before it along the lens axis.
    """
    measured = _discs(reading)
    zones = [_lashes(reading), _bridge(reading), *_worn(reading, measured)]
    named = {m.name: (m.depth_mm, m.depth_sd_mm) for m in reading.face.landmarks}
    for probe in reading.probes:
        if probe.depth_mm is not None and probe.name in ("hair", "clothes"):
            named.setdefault(probe.name, (probe.depth_mm, probe.depth_sd_mm or 0.0))
    for name, (depth, spread) in named.items():
        if name in SAID and not (name == "far iris" and reading.face.near is None):
            zones.append(_zone(SAID[name], depth, spread, measured.get(name)))
    zones += _temple(named)
    return tuple(sorted(zones, key=lambda z: (z.depth_mm, z.name)))


def _discs(reading: FaceReading) -> dict[str, Measured]:
    """Return the discs of probes and of the far eye by name."""
    found = {}
    for probe in reading.probes:
        blur = probe.blur
        if blur.kind in ("disc", "none") and blur.size_px is not None:
            found[probe.name] = blur.size_px
    for eye in reading.eyes:
        shut = any(e.side == eye.side and e.open is False for e in reading.face.eyes)
        far = reading.face.near is not None and eye.side != reading.face.near
        if far and not shut and eye.blur.kind in ("disc", "none") and eye.blur.size_px is not None:
            found["far iris"] = eye.blur.size_px
    return found


def _zone(name: str, depth_mm: float, depth_sd_mm: float, blur_px: Measured | None) -> Zone:
    return Zone(
        name=name,
        depth_mm=depth_mm,
        depth_sd_mm=depth_sd_mm,
        extent_mm=EXTENT_MM.get(name, LEAST_EXTENT_MM),
        blur_px=blur_px,
    )


def _ahead(reading: FaceReading) -> float:
    """Return how much of a depth before the face lies along the lens axis, 0..1."""
    yaw, pitch = reading.face.yaw_deg.value, reading.face.pitch_deg.value
    return max(math.cos(math.radians(yaw)) * math.cos(math.radians(pitch)), 0.0)


def _lashes(reading: FaceReading) -> Zone:
    tips_mm = head_depth("lash tips").mean_mm * _ahead(reading)
    return Zone(
        name="the lashes",
        depth_mm=(LASH_FROM + LASH_TO) / 2 * tips_mm,
        depth_sd_mm=LASH_SD_MM,
        extent_mm=(LASH_TO - LASH_FROM) / 2 * abs(tips_mm),
    )


def _between_eyes(reading: FaceReading) -> tuple[float, float]:
    """Return the depth of the middle between the irises, and its spread."""
    far = next((m for m in reading.face.landmarks if m.name == "far iris"), None)
    return (0.0, 4.0) if far is None else (far.depth_mm / 2, far.depth_sd_mm / 2)


def _bridge(reading: FaceReading) -> Zone:
    """Return the root of the nose: ahead of the middle between the irises."""
    middle, spread = _between_eyes(reading)
    depth = middle + BRIDGE_MM * _ahead(reading)
    return _zone("the bridge of the nose", depth, math.hypot(spread, BRIDGE_SD_MM), None)


def _worn(reading: FaceReading, measured: dict[str, Measured]) -> tuple[Zone, ...]:
    """Return the frame of the glasses, if they are worn: from the near rim to the bridge."""
    if not reading.glasses:
        return ()
    frame = glasses_frame_depth()
    middle, spread = _between_eyes(reading)
    rim_mm = frame.mean_mm * _ahead(reading)
    apart = abs(middle)
    return (
        Zone(
            name="the glasses frame",
            depth_mm=rim_mm + middle / 2,
            depth_sd_mm=math.hypot(frame.sd_mm, spread / 2),
            extent_mm=LEAST_EXTENT_MM + apart / 2,
            blur_px=measured.get("glasses") if apart <= GLASSES_PARTS_MM else None,
        ),
    )


def _temple(named: dict[str, tuple[float, float]]) -> tuple[Zone, ...]:
    """Return the side of the head between eye and ear, with the hair on it."""
    if "near corner" not in named or "near ear" not in named:
        return ()
    front, back = named["near corner"][0], named["near ear"][0]
    span = back - front
    if span <= 0:
        return ()
    return (
        Zone(
            name="the temple",
            depth_mm=front + 0.5 * span,
            depth_sd_mm=named["near ear"][1] / 2,
            extent_mm=0.2 * span,
        ),
    )
