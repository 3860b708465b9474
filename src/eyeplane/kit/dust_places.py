"""Where a shadow of the frame lies on the sensor, for who faces it through the mount.

The lens turns the picture by 180°: what is at the top of a level frame falls on the lower part of
the sensor, what is at its left falls on the right, seen from behind the camera. Who stands in
front and looks through the mount sees left and right swapped once more. So, facing the sensor with
the camera level, the picture stands on its head, and left stays left:

    from behind:  x → W − x, y → H − y          facing the sensor:  x → x, y → H − y

All of this is of the frame as stored, before EXIF Orientation turns it upright.
Points are (x, y) in shares of width and height.
"""

from eyeplane.records import Measured
from eyeplane.records.kit_dust import DustPlace

ACROSS = ("left", "", "right")
DOWN = ("upper", "", "lower")


def seen_from_behind(at_share: tuple[float, float]) -> tuple[float, float]:
    """Return where a shadow lies on the sensor, seen from behind through the camera.

    Parameters
    ----------
    at_share : tuple of float
        (x, y) in the stored frame, y down.

    Returns
    -------
    tuple of float
        (x, y) of the view from behind, y down.

    Examples
    --------
    >>> seen_from_behind((0.25, 0.125))
    (0.75, 0.875)
    """
    return 1 - at_share[0], 1 - at_share[1]


def seen_facing(at_share: tuple[float, float]) -> tuple[float, float]:
    """Return where a shadow lies on the sensor, seen through the mount.

    Parameters
    ----------
    at_share : tuple of float
        (x, y) in the stored frame, y down.

    Returns
    -------
    tuple of float
        (x, y) of the view through the mount, y down.

    Examples
    --------
    >>> seen_facing((0.25, 0.125))
    (0.25, 0.875)
    """
    return at_share[0], 1 - at_share[1]


def field_name(at_share: tuple[float, float]) -> str:
    """Return the ninth of the sensor in which a shadow lies, for who faces it.

    Parameters
    ----------
    at_share : tuple of float
        (x, y) in the stored frame, y down.

    Returns
    -------
    str
        "upper left" to "lower right"; "upper middle", "left middle", "middle".

    Examples
    --------
    >>> field_name((0.1, 0.1)), field_name((0.5, 0.5)), field_name((0.9, 0.5))
    ('lower left', 'middle', 'right middle')
    """
    x, y = seen_facing(at_share)
    across, down = ACROSS[_third(x)], DOWN[_third(y)]
    if across and down:
        return f"{down} {across}"
    return f"{across or down} middle".strip()


def place_mm(
    at_share: tuple[float, float], *, width_px: int, height_px: int, pitch_um: Measured
) -> DustPlace:
    """Return where a shadow lies in mm, for who faces the sensor.

    Parameters
    ----------
    at_share : tuple of float
        (x, y) in the stored frame, y down.
    width_px, height_px : int
        Of the stored frame.
    pitch_um : Measured
        Distance of pixel centres.

    Returns
    -------
    DustPlace
        From the left and from the lower edge; the interval is that of the pitch.

    Examples
    --------
    >>> place = place_mm((0.1, 0.25), width_px=6000, height_px=4000,
    ...                  pitch_um=Measured(value=6.0, low=6.0, high=6.0))
    >>> round(place.from_left_mm.value, 6), round(place.from_bottom_mm.value, 6)
    (3.6, 6.0)
    """
    x, y = seen_facing(at_share)
    return DustPlace(
        from_left_mm=_length(x * width_px, pitch_um),
        from_bottom_mm=_length((1 - y) * height_px, pitch_um),
    )


def _length(length_px: float, pitch_um: Measured) -> Measured:
    length_px = max(0.0, length_px)
    return Measured(
        value=length_px * pitch_um.value / 1000,
        low=length_px * pitch_um.low / 1000,
        high=length_px * pitch_um.high / 1000,
    )


def _third(share: float) -> int:
    return min(2, max(0, int(share * 3)))
