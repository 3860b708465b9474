"""Where the places of a turned head lie, along the lens axis and to the side of it.

Zero is the near iris. Depths: + is farther from the camera. Aside: + is towards the side of the far
eye in the picture, which is where the nose goes too. The head is taken as even on both sides.
"""

import math
from dataclasses import dataclass

from eyeplane.errors import InputError
from eyeplane.people.aim import CAUGHT_DEPTHS
from eyeplane.people.eyes import EYE_DISTANCE_MM, eye_distance
from eyeplane.people.glances import TURNING_MM
from eyeplane.people.head_depths import head_depth
from eyeplane.people.measures import BodyMeasure

GAZE_LIMIT_DEG = 40.0  # farther the eyes do not turn to the lens with ease; from memory, 35 to 45
_BEFORE_IRIS = ("lashes", "glasses")  # places that lie before an iris and go with it
PORTRAIT_MM = 2000.0  # where portraits are taken from: trade, 1.8 to 3 m

# Distance to the side of the middle of the face, adults.
ASIDE_MM = {
    "nose tip": BodyMeasure(mean_mm=0.0, sd_mm=1.0, source="noses lean a little; from memory"),
    "lashes": BodyMeasure(mean_mm=31.5, sd_mm=2.0, source="over the iris"),
    "brow": BodyMeasure(mean_mm=37.0, sd_mm=4.0, source="its middle; from memory"),
    "glasses": BodyMeasure(mean_mm=31.5, sd_mm=2.0, source="before the iris"),
    "outer eye corner": BodyMeasure(
        mean_mm=44.5, sd_mm=2.5, source="half the distance of the outer corners, from memory"
    ),
    "ear": BodyMeasure(
        mean_mm=76.0, sd_mm=5.0, source="a little outside half the width at the tragi, from memory"
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class HeadPlace:
    """A place of a turned head, from the near iris.

    Attributes
    ----------
    name : str
        "near iris", "far lashes", "nose tip" and so on.
    depth_mm, aside_mm : float
        Along the lens axis, + behind; and across it, + to the far eye's side.
    depth_sd_mm, aside_sd_mm : float
        Standard deviations among people.
    """

    name: str
    depth_mm: float
    aside_mm: float
    depth_sd_mm: float
    aside_sd_mm: float


def check_yaw(yaw_deg: float) -> None:
    """Refuse a turn of the head that shows no near eye or is no number.

    Parameters
    ----------
    yaw_deg : float
        How far the head is turned from the lens.

    Raises
    ------
    InputError
        If it is not within 0 to 90 degrees.
    """
    if not 0.0 <= yaw_deg <= 90.0:
        raise InputError(
            f"a head turned by {yaw_deg} degrees cannot be planned for",
            where="yaw_deg",
            hint="Give 0 (facing the camera) to 90 (profile)",
        )


def eyes_apart(*, age_years: float | None = None) -> BodyMeasure:
    """Return the distance between the irises of someone looking at a camera that is near.

    Parameters
    ----------
    age_years : float, optional
        0 to 120; left out, an adult.

    Returns
    -------
    BodyMeasure
        The distance when looking far, less what turning both eyes in to `PORTRAIT_MM` takes.

    Raises
    ------
    InputError
        If the age is out of range.

    Examples
    --------
    >>> round(eyes_apart().mean_mm, 1)
    62.7
    """
    far = EYE_DISTANCE_MM if age_years is None else eye_distance(age_years=age_years)
    inwards = 1.0 - TURNING_MM.mean_mm / PORTRAIT_MM
    return BodyMeasure(
        mean_mm=far.mean_mm * inwards,
        sd_mm=far.sd_mm * inwards,
        source=f"{far.source}; looking at a camera 2 m away",
    )


def far_iris_depth_mm(*, yaw_deg: float, age_years: float | None = None) -> BodyMeasure:
    """Return how far the far iris lies behind the near one, along the lens axis.

    Parameters
    ----------
    yaw_deg : float
        Turn of the head, 0 to 90.
    age_years : float, optional
        0 to 120; left out, an adult.

    Returns
    -------
    BodyMeasure
        Eye distance × sin(yaw), whatever the eyes look at since both turn alike.

    Raises
    ------
    InputError
        If yaw or age is out of range.

    Examples
    --------
    >>> round(far_iris_depth_mm(yaw_deg=25).mean_mm, 1)
    26.5
    """
    check_yaw(yaw_deg)
    apart, sine = eyes_apart(age_years=age_years), math.sin(math.radians(yaw_deg))
    return BodyMeasure(
        mean_mm=apart.mean_mm * sine, sd_mm=apart.sd_mm * sine, source=f"{apart.source}; turned"
    )


def head_places(
    *,
    yaw_deg: float,
    age_years: float | None = None,
    glasses: bool = False,
    at_lens: bool = True,
) -> tuple[HeadPlace, ...]:
    """Return where the places of a turned head lie.

    Parameters
    ----------
    yaw_deg : float
        Turn of the head about the upright axis, 0 (facing the camera) to 90 (profile).
    age_years : float, optional
        0 to 120; left out, an adult. Children's heads are adults' made smaller.
    glasses : bool
        Whether to add the frame of the glasses before each eye.
    at_lens : bool
        Whether the eyes look into the lens, as far as they can turn (`GAZE_LIMIT_DEG`); otherwise
        they look straight ahead of the face.

    Returns
    -------
    tuple of HeadPlace
        Nose tip, and near and far: iris, lashes, brow, outer eye corner, ear (and glasses); nearest
        to the camera first.

    Raises
    ------
    InputError
        If yaw or age is out of range.

    Notes
    -----
    A place x to the side of the middle of the face and z behind the irises comes to lie at
    z cos(yaw) + (x + D/2) sin(yaw) behind the near iris and (x + D/2) cos(yaw) − z sin(yaw) aside
    of it, D the distance of the eyes. Eyes that look at the lens turn back about centres
    `TURNING_MM` behind the irises, which shifts all other places from them.

    Examples
    --------
    >>> [place.name for place in head_places(yaw_deg=30)][:3]
    ['nose tip', 'near brow', 'near lashes']
    """
    check_yaw(yaw_deg)
    apart = eyes_apart(age_years=age_years)
    adult = eyes_apart().mean_mm
    turn, gaze = math.radians(yaw_deg), 0.0
    if at_lens:
        gaze = math.radians(min(yaw_deg, GAZE_LIMIT_DEG))
    # The near iris, moved by the gaze, seen from where it is when the eyes look ahead.
    reach = TURNING_MM.mean_mm * apart.mean_mm / adult
    depth0 = reach * (math.cos(turn) - math.cos(turn - gaze))
    aside0 = reach * (math.sin(turn - gaze) - math.sin(turn))
    places = [
        _iris("near iris", 0.0, turn, apart),
        _iris("far iris", 1.0, turn, apart),
    ]
    for name, aside in ASIDE_MM.items():
        if name == "glasses" and not glasses:
            continue
        depth = _depth(name, age_years, apart.mean_mm / adult)
        for side, sign in (("near ", -1.0), ("far ", 1.0)):
            if aside.mean_mm == 0.0 and sign > 0:
                continue
            label = name if aside.mean_mm == 0.0 else side + name
            place = _turned(label, sign, (depth, aside), turn, apart)
            places.append(_moved(place, depth0, aside0))
    return tuple(sorted(places, key=lambda place: place.depth_mm))


def _depth(name: str, age_years: float | None, ratio: float) -> BodyMeasure:
    if name in _BEFORE_IRIS:
        adult = CAUGHT_DEPTHS[name]
        # Glasses are made for the nose they sit on, lashes grow with the eye: as heads do.
        return BodyMeasure(
            mean_mm=adult.mean_mm * ratio, sd_mm=adult.sd_mm, source=f"{adult.source}; by age"
        )
    return head_depth(name, age_years=age_years)


def _iris(name: str, far: float, turn: float, apart: BodyMeasure) -> HeadPlace:
    return HeadPlace(
        name=name,
        depth_mm=far * apart.mean_mm * math.sin(turn),
        aside_mm=far * apart.mean_mm * math.cos(turn),
        depth_sd_mm=far * apart.sd_mm * math.sin(turn),
        aside_sd_mm=far * apart.sd_mm * math.cos(turn),
    )


def _turned(
    label: str,
    sign: float,
    place: tuple[BodyMeasure, BodyMeasure],
    turn: float,
    apart: BodyMeasure,
) -> HeadPlace:
    depth, aside = place
    ratio = apart.mean_mm / eyes_apart().mean_mm
    x = sign * aside.mean_mm * ratio + 0.5 * apart.mean_mm
    # Before an iris a place goes with that eye, by none or all of what the distance of the eyes
    # varies by; from the middle of the face, where the others are measured, it is half of that.
    share = 0.5 + 0.5 * sign if label.endswith(_BEFORE_IRIS) else 0.5
    x_sd = math.hypot(aside.sd_mm, share * apart.sd_mm)
    sine, cosine = math.sin(turn), math.cos(turn)
    return HeadPlace(
        name=label,
        depth_mm=depth.mean_mm * cosine + x * sine,
        aside_mm=x * cosine - depth.mean_mm * sine,
        depth_sd_mm=math.hypot(depth.sd_mm * cosine, x_sd * sine),
        aside_sd_mm=math.hypot(depth.sd_mm * sine, x_sd * cosine),
    )


def _moved(place: HeadPlace, depth_mm: float, aside_mm: float) -> HeadPlace:
    return HeadPlace(
        name=place.name,
        depth_mm=place.depth_mm - depth_mm,
        aside_mm=place.aside_mm - aside_mm,
        depth_sd_mm=place.depth_sd_mm,
        aside_sd_mm=place.aside_sd_mm,
    )
