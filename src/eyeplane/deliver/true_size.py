"""A print on a screen: true size, what the screen's pixels can show, and where to sit."""

import math
from dataclasses import dataclass
from typing import Literal

from eyeplane.records import FrameReading, Measured, Viewing
from eyeplane.records.face import Eye
from eyeplane.records.reading import counting_eye
from eyeplane.records.settings import STANDARD_VIEWING_CM

CARD_MM = (85.60, 53.98)  # width and height of an ID-1 card, ISO/IEC 7810:2019; ± 0.1 mm
NOMINAL_PX_PER_MM = 96 / 25.4  # what browsers call an inch, true of few screens: CSS Values 4, 6.2
PHONE_PX_PER_MM = (5.0, 7.0)  # CSS px: 125-180 to the inch; from memory
DESK_PX_PER_MM = (3.0, 6.0)  # CSS px: 75-150 to the inch; from memory
PHONE_SHORT_PX = 600  # CSS px: a screen with a shorter side than this is held in the hand
SIT_CM = {"desk": 50.0, "phone": 35.0}  # from eye to screen; from memory
NEAREST_CM = 25.0  # the handbooks' least distance of distinct vision
ARC_MINUTE_RAD = math.radians(1 / 60)  # of detail that is just seen; optics.reach counts so too

Held = Literal["holds", "short", "edge", "cannot tell"]


def held(reach_cm: Measured | None, *, print_cm: float) -> Held:
    """Return whether a print of one size is held, as far as the measure can tell.

    Parameters
    ----------
    reach_cm : Measured or None
        Reach from the distance the print is seen at.
    print_cm : float
        Long edge of the print, > 0 cm.

    Returns
    -------
    {"holds", "short", "edge", "cannot tell"}
        "edge" where the size lies within the interval of the reach.
    """
    if reach_cm is None:
        return "cannot tell"
    if reach_cm.low >= print_cm:
        return "holds"
    return "short" if reach_cm.high < print_cm else "edge"


def reach_from(
    reach_cm: Measured | None, *, viewing: Viewing, distance_cm: float
) -> Measured | None:
    """Return the reach for another viewing distance.

    Parameters
    ----------
    reach_cm : Measured or None
        As answered.
    viewing : Viewing
        For which it was answered; without a distance it holds for the standard 50 cm.
    distance_cm : float
        From eye to print, > 0 cm.

    Returns
    -------
    Measured or None
        In cm.

    Notes
    -----
    What is seen depends on frame pixels in a degree of view only, so the reach grows straight with
    the distance (`optics.reach`): nothing is measured anew.
    """
    if reach_cm is None:
        return None
    ratio = distance_cm / (viewing.distance_cm or STANDARD_VIEWING_CM)
    return Measured(
        value=reach_cm.value * ratio, low=reach_cm.low * ratio, high=reach_cm.high * ratio
    )


def counting(reading: FrameReading, face: int | None) -> Eye | None:
    """Return the eye of a sitter that counts: the near one.

    Parameters
    ----------
    reading : FrameReading
        One frame.
    face : int or None
        Index of the face.

    Returns
    -------
    Eye or None
        With its place in the frame; None where there is no such face.
    """
    if face is None or not 0 <= face < len(reading.faces):
        return None
    found = reading.faces[face]
    side = counting_eye(found).side
    return next(eye for eye in found.face.eyes if eye.side == side)


@dataclass(frozen=True, slots=True, kw_only=True)
class Screen:
    """A screen as it was measured.

    Attributes
    ----------
    px_per_mm : float
        CSS px to one mm of it, > 0.
    pixel_ratio : float
        Pixels of the screen to one CSS px along a side, > 0.
    """

    px_per_mm: float
    pixel_ratio: float = 1.0

    @property
    def pixel_mm(self) -> float:
        """Return the side of one of its pixels.

        Returns
        -------
        float
            In mm.
        """
        return 1 / (self.px_per_mm * self.pixel_ratio)

    @property
    def clear_from_cm(self) -> float:
        """Return from which distance its pixels are as fine as the eye.

        Returns
        -------
        float
            In cm: there one pixel is one arc minute.
        """
        return self.pixel_mm / math.tan(ARC_MINUTE_RAD) / 10

    def coarser_than_print(
        self, *, print_cm: float, long_edge_px: float, distance_cm: float
    ) -> bool:
        """Return whether the print shows detail that this screen cannot show at true size.

        Parameters
        ----------
        print_cm : float
            Long edge of the print, > 0 cm.
        long_edge_px : float
            Long edge of the frame, > 0 px.
        distance_cm : float
            From eye to print, > 0 cm.

        Returns
        -------
        bool
            True where a pixel of the screen is larger than a pixel of the frame on the print and
            larger than what the eye can tell apart from there, one arc minute.
        """
        finest_mm = 10 * distance_cm * math.tan(ARC_MINUTE_RAD)
        return self.pixel_mm > max(10 * print_cm / long_edge_px, finest_mm)


def plausible(px_per_mm: float, *, short_px: float | None = None) -> bool:
    """Return whether a screen can be like this.

    Parameters
    ----------
    px_per_mm : float
        CSS px to one mm.
    short_px : float or None
        Shorter side of the whole screen in CSS px; None: unknown.

    Returns
    -------
    bool
        Within what phones, or tablets and desks, are like; where it is unknown which, within both.

    Examples
    --------
    A phone of 460 pixels to the inch that counts three as one, and a desk of 96 to the inch:

    >>> plausible(460 / 3 / 25.4, short_px=390), plausible(96 / 25.4, short_px=1080)
    (True, True)
    """
    low, high = DESK_PX_PER_MM[0], PHONE_PX_PER_MM[1]
    if short_px is not None:
        low, high = PHONE_PX_PER_MM if short_px < PHONE_SHORT_PX else DESK_PX_PER_MM
    return low <= px_per_mm <= high


def sit_at_cm(distance_cm: float, *, shown_ratio: float) -> float:
    """Return how far to sit from a screen so that what it shows looks as large as the print does.

    Parameters
    ----------
    distance_cm : float
        From the client's eye to the print, > 0 cm.
    shown_ratio : float
        Size on the screen over size of the print, > 0.

    Returns
    -------
    float
        In cm: the same angle at the eye.
    """
    return distance_cm * shown_ratio
