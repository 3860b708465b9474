"""What the focus caught instead of the near eye, and what is sharp when the eye is not."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose import words
from eyeplane.diagnose.case import FaceCase, sitters
from eyeplane.diagnose.cone import LOG_SD_FLOOR, SOFT_PX, STUDENT_NU
from eyeplane.diagnose.lens import Z90
from eyeplane.diagnose.zones import Zone, zones_of
from eyeplane.records import Blur, Finding, FrameReading, Measured, counting_eye

FloatArray = NDArray[np.float64]

SURE = 0.9  # a place is named if it lies within the stated distance of the plane this probably
CLOSE_SHARE = 0.4  # that distance over the offset: a place farther off was not what it lay on
CLOSEST_MM, WIDEST_MM = 4.0, 10.0  # bounds of it
BEATEN = 1 / 3  # of its chance is the most the next place may have, where one was caught
PAIRED = 0.8  # brows or ears whose chances differ by less are named as one
MOST_NAMES = 3  # more places than this are no answer
LEAST_PX = 1.5  # a near eye blurred less is not worth the question what was caught
WHOLE_FACE_MM = 5.0  # the plane this far before everything on the face missed the whole face
UNPLACED = ("hair", "clothes")  # places whose depth may not be known
PLANE_NODES, DEPTH_NODES = 61, 41  # of the two normal distributions, to 3.2 deviations
# Nobody aims there, and the bridge is bare skin: named only where nothing likelier is as deep.
UNLIKELY = frozenset({"the bridge of the nose", "the mouth"})
UNSEEN = frozenset({"the lashes", "the glasses frame"})  # no window of their own beside the eye's
# Elsewhere: something is clearly sharper than the eye if its blur is at most this share of it, the
# unkind ends of both intervals taken; common practice, no source.
SHARPER_SHARE = 0.6
NO_SHARPER_SHARE = 0.8  # a place surely blurred by more than this share was not at the plane
PROFILE_DEG = 35.0  # yaw beyond which a nose stands before the background

REMEDY = {
    "the lashes": "Put one small focus point on the lower lid's edge, below the iris.",
    "the glasses frame": "Put one small focus point on the lower lid's edge, clear of the rim.",
    "the far eye": "Put one small focus point on the nearer eye.",
    "the far ear": "Put one small focus point on the nearer eye.",
}
OTHERWISE = "Put one small focus point on the edge of the iris: a wide one catches {names}."
MOVED = "Focus and release at once, or focus continuously: somebody may have moved after focusing."


@dataclass(frozen=True, slots=True, kw_only=True)
class Catch:
    """What lay at the focus plane.

    Attributes
    ----------
    names : tuple of str
        Most probable first.
    depth_mm : Measured
        Of the focus plane relative to the near iris, + farther.
    within_mm : float
        Each named place lies at most this far from the focus plane, with probability `SURE`.
    alone : bool
        Whether one place beat all others clearly and was itself measured sharper than the eye, or
        cannot be measured apart from it.
    """

    names: tuple[str, ...]
    depth_mm: Measured
    within_mm: float
    alone: bool


def catch_of(case: FaceCase) -> Catch | None:
    """Return which named place of a head the focus plane went through.

    Parameters
    ----------
    case : FaceCase
        One face.

    Returns
    -------
    Catch or None
        None if the offset is not told with its sign, the near eye is not soft, or no place is
        surely near enough to the plane.

    Notes
    -----
    The offset's posterior is taken as a normal distribution with its own spread to each side,
    a place's depth as normal. Where the place was measured, each pair of plane and depth counts by
    how well the disc it would make agrees with the disc found there (Student-t in the logarithm,
    as in the cone fit); each row of that is normalised, since the posterior of the plane has
    taken the same disc into account already, averaged over the place's depth.
    """
    offset = case.offset.offset_mm
    if offset is None or not case.offset.side or not _soft(case):
        return None
    if abs(offset.value) < CLOSEST_MM:  # nearer to the iris than any place is known
        return None
    within = min(max(CLOSE_SHARE * abs(offset.value), CLOSEST_MM), WIDEST_MM)
    zones = [z for z in zones_of(case.reading) if not _contradicted(z, case)]
    chance = {z.name: _chance_within(within, z, offset, case) for z in zones}
    ranked = _one_side(sorted(zones, key=lambda z: (-chance[z.name], z.name)), chance)
    named = [z for z in ranked if chance[z.name] >= SURE]
    named = [z for z in named if z.name not in UNLIKELY] or named
    if not named or len(named) > MOST_NAMES:
        return None
    best = named[0]
    rivals = [z for z in ranked if z is not best and z.name not in UNLIKELY]
    least = BEATEN * _chance_within(CLOSEST_MM, best, offset, case)
    alone = all(_chance_within(CLOSEST_MM, z, offset, case) < least for z in rivals)
    return Catch(
        names=tuple(z.name for z in named),
        depth_mm=offset,
        within_mm=within,
        alone=alone and (best.name in UNSEEN or _sharper(best.blur_px, case)),
    )


def _one_side(ranked: Sequence[Zone], chance: dict[str, float]) -> list[Zone]:
    """Return places without the far one of a pair where the nearer one is about as probable."""

    def doubled(zone: Zone) -> bool:
        nearer = chance.get(zone.name.replace("the far ", "the "), 0.0)
        return zone.name.startswith("the far ") and nearer >= PAIRED * chance[zone.name]

    return [zone for zone in ranked if not doubled(zone)]


def caught_findings(case: FaceCase, reading: FrameReading) -> tuple[Finding, ...]:
    """Return what the focus caught, or what is sharp elsewhere, where the near eye is soft.

    Parameters
    ----------
    case : FaceCase
        One face.
    reading : FrameReading
        Its frame.

    Returns
    -------
    tuple of Finding
        At most one, of kind "caught", "glasses" or "elsewhere"; none where motion blurs the eye
        or nothing can be told.
    """
    if case.motion is not None or not _soft(case):
        return ()
    caught = catch_of(case)
    if caught is not None:
        return (_caught(caught),)
    return _before_face(case) or _elsewhere(case, reading)


def _soft(case: FaceCase) -> bool:
    """Return whether a blur worth a word, not a line, lies on the near eye or is made by the cone.

    Small discs are told better by all places of a face together than by the eye alone.
    """
    blur, fit = case.eye.blur, case.offset.fit
    if blur.kind == "line" or blur.size_px is None:
        return False
    by_cone = fit.focus_px.value if fit is not None and case.offset.side else 0.0
    return max(blur.size_px.value, by_cone) >= LEAST_PX


def _sharper(blur_px: Measured | None, case: FaceCase) -> bool:
    """Return whether a place is clearly sharper than the near eye."""
    size = case.eye.blur.size_px
    return blur_px is not None and size is not None and blur_px.high <= SHARPER_SHARE * size.low


def _contradicted(zone: Zone, case: FaceCase) -> bool:
    """Return whether a place was measured hardly sharper than the near eye itself."""
    size = case.eye.blur.size_px
    if zone.blur_px is None or size is None or case.eye.blur.kind != "disc":
        return False
    return zone.blur_px.low >= NO_SHARPER_SHARE * size.value


def _chance_within(within_mm: float, zone: Zone, offset: Measured, case: FaceCase) -> float:
    """Return the probability that a place lies within a distance of the focus plane."""
    plane, mass = _two_sided(offset)
    depth, share = _normal(zone.depth_mm, max(zone.depth_sd_mm, 0.5))
    weight = mass[:, None] * share[None, :]
    if zone.blur_px is not None and case.lens is not None:
        distance = case.lens.distance_mm.value
        disc = case.lens.circle_px(distance + plane[:, None], distance + depth[None, :])
        likely = _likelihood(disc, zone.blur_px)
        likely /= np.maximum((likely * share).sum(axis=1, keepdims=True), 1e-12)
        weight = weight * likely
    gap = np.abs(plane[:, None] - depth[None, :]) - zone.extent_mm
    return float(weight[gap <= within_mm].sum() / weight.sum())


def _two_sided(value: Measured) -> tuple[FloatArray, FloatArray]:
    """Return nodes and masses of a normal with its own spread to each side."""
    below = max((value.value - value.low) / Z90, 0.25)
    above = max((value.high - value.value) / Z90, 0.25)
    u = np.linspace(-3.2, 3.2, PLANE_NODES)
    mass = np.exp(-0.5 * u * u)
    return value.value + u * np.where(u < 0, below, above), mass / mass.sum()


def _normal(mean: float, sd: float) -> tuple[FloatArray, FloatArray]:
    u = np.linspace(-3.2, 3.2, DEPTH_NODES)
    mass = np.exp(-0.5 * u * u)
    return mean + sd * u, mass / mass.sum()


def _likelihood(disc_px: FloatArray, seen_px: Measured) -> FloatArray:
    """Return how well discs agree with a measured one, as the cone fit has it."""
    low, high = max(seen_px.low, 0.0) + SOFT_PX, max(seen_px.high, 0.0) + SOFT_PX
    spread = max(math.log(high / low) / (2 * Z90), LOG_SD_FLOOR)
    t = (math.log(max(seen_px.value, 0.0) + SOFT_PX) - np.log(disc_px + SOFT_PX)) / spread
    return np.asarray((1.0 + t * t / STUDENT_NU) ** (-(STUDENT_NU + 1) / 2))


def _caught(caught: Catch) -> Finding:
    where, names = _where(caught.depth_mm), caught.names[0]
    if len(caught.names) > 1:
        names = f"{', '.join(caught.names[:-1])} or {caught.names[-1]}"
    if caught.alone:
        text = f"Focus caught {names}, {where}."
    else:
        text = f"Focus lay {where}: as deep as {names}, to within {words.mm(caught.within_mm)}."
    glasses = caught.names == ("the glasses frame",)
    advice = REMEDY.get(names, OTHERWISE.format(names=names))
    return Finding(kind="glasses" if glasses else "caught", text=text, advice=advice)


def _where(depth_mm: Measured) -> str:
    """Return the interval of a depth; its value is the frame's own sentence."""
    side = "in front of the iris" if depth_mm.value < 0 else "behind the iris"
    low, high = (f"{end:.0f}" for end in sorted((abs(depth_mm.low), abs(depth_mm.high))))
    return f"{low if low == high else f'{low} to {high}'}{words.THIN}mm {side}"


def _before_face(case: FaceCase) -> tuple[Finding, ...]:
    """Return that the plane lay before everything on the face, if it surely did."""
    offset = case.offset.offset_mm
    zones = zones_of(case.reading)
    if offset is None or not case.offset.side or not zones:
        return ()
    nearest = min(zones, key=lambda z: z.depth_mm)
    front = nearest.depth_mm - nearest.extent_mm - Z90 * nearest.depth_sd_mm
    if offset.high > front - WHOLE_FACE_MM:
        return ()
    text = f"Focus lay {_where(offset)}: before the whole face, even {nearest.name}."
    return (Finding(kind="caught", text=text, advice=MOVED),)


def _elsewhere(case: FaceCase, reading: FrameReading) -> tuple[Finding, ...]:
    """Return what was measured clearly sharper than the near eye, sharpest first."""
    size = case.eye.blur.size_px
    if size is None or case.eye.blur.kind != "disc":
        return ()
    seen = [(z.name, z.blur_px) for z in zones_of(case.reading) if _trusted(z, case)]
    if sum(sitters(reading)) == 1:  # in a group they may be somebody else's, and that is told apart
        unplaced = [p for p in case.reading.probes if p.depth_mm is None]
        seen += [(f"the {p.name}", _disc(p.blur)) for p in unplaced if p.name in UNPLACED]
        seen += [("the background", _disc(p.blur)) for p in reading.background]
    seen += [("another person", _disc(blur)) for blur in _bystanders(case, reading)]
    sharper = [(px.value, name, px) for name, px in seen if px is not None and _sharper(px, case)]
    if not sharper:
        return ()
    _, name, px = min(sharper, key=lambda item: item[:2])
    eye = "the near eye"
    if case.reading.face.near is None:
        name, eye = name.replace("the far ", "the "), "either eye"
    text = (
        f"{words.sentence_case(name)} is sharper than {eye}: {_blur(px)} of blur"
        f" against {words.px(size.value)}."
    )
    return (
        Finding(
            kind="elsewhere", text=text.replace("clothes is", "clothes are"), advice=_point(name)
        ),
    )


def _trusted(zone: Zone, case: FaceCase) -> bool:
    """Return whether a single window there tells, and on the side where the focus is known to lie.

    On the far side of a turned head, and on a nose in profile, windows hold edges of what lies
    behind.
    """
    profile = abs(case.reading.face.yaw_deg.value) > PROFILE_DEG
    if zone.name == "the far brow" or (profile and zone.name == "the tip of the nose"):
        return False
    side = case.offset.side
    return not side or (zone.depth_mm > 0) == (side == "behind")


def _bystanders(case: FaceCase, reading: FrameReading) -> tuple[Blur, ...]:
    """Return the blur at the eyes of people who are no sitters: sitters are told as a group."""
    told = zip(reading.faces, sitters(reading), strict=True)
    return tuple(counting_eye(f).blur for f, sitter in told if not sitter and f is not case.reading)


def _disc(blur: Blur) -> Measured | None:
    return blur.size_px if blur.kind in ("disc", "none") else None


def _blur(px: Measured) -> str:
    """Return a small blur by its upper end: sizes under a pixel or two are not told closer."""
    return f"under {words.px(max(px.high, 1.0))}" if px.low <= 0.0 else words.px(px.value)


def _point(name: str) -> str:
    return REMEDY.get(name, OTHERWISE.format(names=name))
