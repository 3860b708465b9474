"""What a person may set: what to measure, and for which print and viewer to answer."""

from dataclasses import dataclass

STANDARD_VIEWING_CM = 50.0  # a client steps up to a face; common practice, no source
STANDARD_PRINT_CM = 60.0  # where none was promised: 40 × 60 cm; common practice, no source
MEASURE_VERSION = "2"  # raise it when a reading of the same file would come out differently
PIXEL_LIMIT = 250_000_000  # largest frame that is opened, in pixels: 2.4 times a 100 MP back


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureSettings:
    """What the measuring itself depends on: a change here means measuring again.

    Attributes
    ----------
    spots_px : tuple of (float, float)
        Further places to measure, (x, y) in pixels of the upright frame, pixel centres at .5.
    pixel_limit : int
        Frames with more pixels are recorded as unreadable before any memory is taken.
    kit_pitch_um : tuple of (str, float)
        The photographer's kit table: body name as EXIF gives it, pixel pitch in micrometres.
    """

    spots_px: tuple[tuple[float, float], ...] = ()
    pixel_limit: int = PIXEL_LIMIT
    kit_pitch_um: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Viewing:
    """For which print and from where; answers change with it, measurements do not.

    Attributes
    ----------
    distance_cm : float or None
        Distance from eye to print. None means 1.5 times the print's diagonal, the trade's
        distance for wall prints; the reach is then told for the standard 50 cm and the
        diagonal's yes or no stands beside it.
    print_cm : float or None
        Longest edge of the print that was promised, if one was.
    """

    distance_cm: float | None = STANDARD_VIEWING_CM
    print_cm: float | None = None
