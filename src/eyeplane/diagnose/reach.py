"""Reach of one eye from its measured blur, the frame's pixels, its noise and the viewer."""

import functools
from dataclasses import dataclass, replace

from eyeplane.optics import PointSpread, holds_diagonal, looks_sharp, reach_cm
from eyeplane.records import (
    STANDARD_VIEWING_CM,
    Blur,
    BlurKind,
    EyeReading,
    FaceReading,
    FrameReading,
    Measured,
    Viewing,
    counting_eye,
)

# Where noise was not measurable the low end of the reach allows for a coarse frame: a standard
# deviation of 5 % a pixel is about ISO 6400 on a 24 MP 36 x 24 mm sensor; from memory.
UNKNOWN_NOISE = Measured(value=0.0, low=0.0, high=0.05)
FINE_PIXELS = 8  # "without pixels" is worked out on pixels this many times finer


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintView:
    """The print a frame is judged on: its pixels, the viewer's distance, the promised edge.

    Attributes
    ----------
    width_px, height_px : int
        Size of the upright frame, > 0.
    viewing_cm : float
        Distance from eye to print.
    print_cm : float or None
        Longest edge of the promised print.
    """

    width_px: int
    height_px: int
    viewing_cm: float
    print_cm: float | None

    @property
    def long_edge_px(self) -> int:
        """Return the longer side of the frame in pixels.

        Returns
        -------
        int
            Pixels.
        """
        return max(self.width_px, self.height_px)


def print_view(reading: FrameReading, viewing: Viewing) -> PrintView:
    """Return how a frame is seen when printed.

    Parameters
    ----------
    reading : FrameReading
        A readable frame.
    viewing : Viewing
        For which print and from where; without a distance the standard one is used, since the
        diagonal is answered beside it.

    Returns
    -------
    PrintView
        Pixels, distance and promised edge together.
    """
    return PrintView(
        width_px=reading.width_px,
        height_px=reading.height_px,
        viewing_cm=viewing.distance_cm or STANDARD_VIEWING_CM,
        print_cm=viewing.print_cm,
    )


def other_eye(reading: FaceReading) -> EyeReading:
    """Return the eye that does not count.

    Parameters
    ----------
    reading : FaceReading
        One face.

    Returns
    -------
    EyeReading
        The one `counting_eye` did not return.
    """
    left, right = reading.eyes
    return right if counting_eye(reading) is left else left


def spread_of(kind: BlurKind, size_px: float, beside_px: float = 0.0) -> PointSpread:
    """Return the point spread that a measured blur stands for.

    Parameters
    ----------
    kind : str
        "line" gives a line; everything else the disc of equal blur.
    size_px : float
        Length or diameter, >= 0 px.
    beside_px : float
        Diameter of the disc beside a line, >= 0 px.

    Returns
    -------
    PointSpread
        Without diffraction or glass, which the measured size already holds.
    """
    if kind == "line":
        return PointSpread(line_px=size_px, disc_px=beside_px)
    return PointSpread(disc_px=size_px)


def measured_spread(blur: Blur) -> PointSpread:
    """Return the point spread of a blur as it was measured.

    Parameters
    ----------
    blur : Blur
        At an eye, with a disc beside its line where one was told.

    Returns
    -------
    PointSpread
        In pixels of the frame; sharp where the blur has no size.
    """
    if blur.size_px is None:
        return PointSpread()
    return spread_of(blur.kind, blur.size_px.value, _beside(blur)[1])


def _beside(blur: Blur) -> tuple[float, float, float]:
    """Return low, value and high of the disc beside a line; zeros without one."""
    beside = blur.disc_beside_px
    return (0.0, 0.0, 0.0) if beside is None else (beside.low, beside.value, beside.high)


@functools.lru_cache(maxsize=4096)
def _reach(spread: PointSpread, long_edge_px: int, noise: float, viewing_cm: float) -> float:
    return float(
        reach_cm(
            spread=spread, long_edge_px=long_edge_px, noise_contrast=noise, viewing_cm=viewing_cm
        )
    )


def reach_at(spread: PointSpread, noise: float, view: PrintView) -> float:
    """Return the reach of one point spread.

    Parameters
    ----------
    spread : PointSpread
        In pixels of the frame.
    noise : float
        Standard deviation over mean, per pixel, linear light.
    view : PrintView
        The frame and its viewer.

    Returns
    -------
    float
        Longest print edge in cm that looks sharp.
    """
    return _reach(spread, view.long_edge_px, noise, view.viewing_cm)


def pixel_reach(view: PrintView) -> float:
    """Return the most that these pixels can hold: no blur, no noise.

    Parameters
    ----------
    view : PrintView
        The frame and its viewer.

    Returns
    -------
    float
        Reach in cm.
    """
    return reach_at(PointSpread(), 0.0, view)


def reach_without_pixels(spread: PointSpread, noise: float, view: PrintView) -> float:
    """Return the reach if the same picture lay on far finer pixels.

    Parameters
    ----------
    spread : PointSpread
        In pixels of the frame.
    noise : float
        Standard deviation over mean, per pixel.
    view : PrintView
        The frame and its viewer.

    Returns
    -------
    float
        Reach in cm. Blur keeps its size on the sensor, and noise its power per area, so that
        its contrast per pixel grows as the pixel shrinks.
    """
    n = FINE_PIXELS
    finer = replace(
        spread,
        disc_px=spread.disc_px * n,
        line_px=spread.line_px * n,
        gaussian_px=spread.gaussian_px * n,
        airy_px=spread.airy_px * n,
    )
    return _reach(finer, view.long_edge_px * n, noise * n, view.viewing_cm)


def reach_of(blur: Blur, noise: Measured | None, view: PrintView) -> Measured | None:
    """Return the reach of an eye, with its interval.

    Parameters
    ----------
    blur : Blur
        At the eye.
    noise : Measured or None
        Noise contrast at the face; None widens the interval downwards (`UNKNOWN_NOISE`).
    view : PrintView
        The frame and its viewer.

    Returns
    -------
    Measured or None
        Low end from the high ends of blur and noise, high end from the low ones; where disc and
        line cannot be told apart, the low end is that of the worse. None where the blur has no
        size.
    """
    if blur.size_px is None:
        return None
    noise = noise or UNKNOWN_NOISE
    size = blur.size_px
    least, beside, most = _beside(blur)
    value = reach_at(spread_of(blur.kind, size.value, beside), noise.value, view)
    low = reach_at(spread_of(blur.kind, size.high, most), noise.high, view)
    if blur.kind == "cannot tell" and blur.line_px is not None:
        # It may be a line as well, which blurs more in its own direction than a disc of its size.
        low = min(low, reach_at(PointSpread(line_px=blur.line_px.high), noise.high, view))
    high = reach_at(spread_of(blur.kind, max(size.low, 0.0), least), max(noise.low, 0.0), view)
    return Measured(value=value, low=min(low, value), high=max(high, value))


def diagonal_of(blur: Blur, noise: Measured | None, view: PrintView) -> bool | None:
    """Return whether the eye looks sharp from 1.5 times the diagonal of any print.

    Parameters
    ----------
    blur : Blur
        At the eye.
    noise : Measured or None
        Noise contrast at the face.
    view : PrintView
        The frame.

    Returns
    -------
    bool or None
        None where the two ends of the blur's interval answer differently, or no size is known.
    """
    if blur.size_px is None:
        return None
    noise = noise or UNKNOWN_NOISE
    least, _, most = _beside(blur)
    best, worst = (
        bool(
            holds_diagonal(
                spread=spread_of(blur.kind, size, beside),
                width_px=view.width_px,
                height_px=view.height_px,
                noise_contrast=contrast,
            )
        )
        for size, beside, contrast in (
            (max(blur.size_px.low, 0.0), least, max(noise.low, 0.0)),
            (blur.size_px.high, most, noise.high),
        )
    )
    return best if best == worst else None


def holds(spread: PointSpread, noise: float, view: PrintView, goal_cm: float) -> bool:
    """Return whether a point spread looks sharp on a print.

    Parameters
    ----------
    spread : PointSpread
        In pixels of the frame.
    noise : float
        Standard deviation over mean, per pixel.
    view : PrintView
        The frame and its viewer.
    goal_cm : float
        Longest edge of the print, > 0 cm.

    Returns
    -------
    bool
        True if it does.
    """
    return bool(
        looks_sharp(
            spread=spread,
            long_edge_px=view.long_edge_px,
            noise_contrast=noise,
            print_cm=goal_cm,
            viewing_cm=view.viewing_cm,
        )
    )
