"""Sharpness across one slanted edge: its contrast at every fineness (e-SFR), with its spread.

Points are (x, y) in px with pixel centres at .5, arrays are [y, x].
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.errors import InputError
from eyeplane.measure.slanted_fit import BINS_PER_PX, EdgeLine, fit_edge, without_shading
from eyeplane.measure.slanted_noise import NoiseOfEdge, residual_noise
from eyeplane.measure.slanted_pixels import EdgePixels, edge_pixels
from eyeplane.measure.slanted_spread import Spread, edge_spread

FloatArray = NDArray[np.float64]

FREQUENCY_STEP_PER_PX = 0.005
MOST_PER_PX = 1.0  # a bare step of area-sampled pixels falls to half at 0.604: exact
HALF_GAUSSIAN = 0.187391  # frequency × standard deviation at half contrast: exact
CLIPPED_SHARE = 0.02  # of either side's pixels: fewer are specks; our own
LEAST_CONTRAST_TO_NOISE = 3.0  # below, the line itself cannot be found well; our own
OVERSHOOT_CONTRAST = 0.03  # of the step: ringing of a pixel grid stays below; our own
NOISE_FACTOR = 1.1  # what noise adds through window and line; from simulated edges, 0.95 to 1.17


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EdgeResponse:
    """Contrast across one edge.

    Attributes
    ----------
    frequency_per_px : ndarray
        From 0 to 1 cycles per px, across the edge.
    mtf : ndarray
        Contrast of the whole system there: lens, pixel and all that was done to the frame.
    mtf_sd : ndarray
        Standard deviation of each by noise.
    mtf50_per_px : float or None
        Lowest frequency of half the contrast; None if it stays above to the end.
    mtf50_sd_per_px : float
        Its standard deviation by noise; 0 where there is none.
    sigma_px : float or None
        Standard deviation of the Gaussian of equal half contrast, the pixel included.
    angle_deg : float
        Direction of the edge's normal into the bright side, counter-clockwise from +x with y up,
        −180 to 180.
    tilt_deg : float
        How far the edge is turned from the nearer pixel axis, 0 to 45.
    curve_px : float
        How far the edge's middle lies off the line through its ends.
    length_px : float
        Of the edge that was used.
    dark_level, bright_level : float
        Light on either side, of the frame's white.
    contrast : float
        (bright − dark) / (bright + dark).
    noise : float
        Standard deviation of a pixel over the step between the levels.
    overshoot_ratio : float
        How far the edge overshoots its levels, over the step: sharpening; noise taken off.
    pixels : int
        Pixels used.
    clipped : bool
        Whether one side is clipped: no number of it can be trusted.
    """

    frequency_per_px: FloatArray
    mtf: FloatArray
    mtf_sd: FloatArray
    mtf50_per_px: float | None
    mtf50_sd_per_px: float
    sigma_px: float | None
    angle_deg: float
    tilt_deg: float
    curve_px: float
    length_px: float
    dark_level: float
    bright_level: float
    contrast: float
    noise: float
    overshoot_ratio: float
    pixels: int
    clipped: bool

    def mtf_at(self, frequency_per_px: ArrayLike) -> FloatArray:
        """Return the contrast at some frequencies.

        Parameters
        ----------
        frequency_per_px : array_like
            0 to 1 cycles per px.

        Returns
        -------
        ndarray
            Between the steps of `frequency_per_px`, on straight lines.
        """
        wanted = np.asarray(frequency_per_px, float)
        return np.asarray(np.interp(wanted, self.frequency_per_px, self.mtf))


def edge_response(
    luma: ArrayLike,
    *,
    corners_px: ArrayLike | None = None,
    clipped: ArrayLike | None = None,
    airy_px: float = 0.0,
) -> EdgeResponse:
    """Return the contrast transfer across the one edge in a piece of a frame.

    Parameters
    ----------
    luma : array_like
        Linear light [y, x], 1.0 at the frame's white (any scale does for the contrast).
    corners_px : array_like or None
        Corners of the quadrilateral to use, in order, (x, y); None: the whole piece. It may be
        turned, and must hold one edge that runs from side to side.
    clipped : array_like or None
        Where the file stands at its upper end, [y, x].
    airy_px : float
        Wavelength times f-number in px where the aperture is known, else 0: what diffraction
        scatters farther than the piece reaches is then counted, as far as it must be there.

    Returns
    -------
    EdgeResponse
        Over 0 to 1 cycles per px.

    Raises
    ------
    InputError
        If there is no edge, it is too short, too blurred for the piece, lost in noise, or runs
        along the pixels so that they do not sample it finely.

    Notes
    -----
    As in ISO 12233, with these choices: the edge is a parabola (distortion bends lines), found by
    least squares against its own mean profile; shading along and across is taken out; bins of
    1/4 px along the normal, each put right for where its pixels lie in it; first difference of
    the bins; a window with cosine ends, three widths of the edge to each side and three cycles of
    the frequency, over the step between levels far from the edge: noise is kept out and the long
    tails of diffraction are not cut off. Both the bin's width and the difference are divided out
    as sin(π f / 4) / (π f / 4). Noise is taken from what the profile leaves, with its correlation
    from pixel to pixel, and carried through exactly; the bias it gives a modulus is taken off.

    References
    ----------
    ISO 12233:2017, Photography - Electronic still picture imaging - Resolution and spatial
    frequency responses, edge-based SFR (the printed correction of the derivative is reported to be
    misprinted; ours is worked out, and tested against known kernels).
    P. D. Burns, Slanted-edge MTF for digital camera and scanner analysis, PICS 2000 (from memory).

    Examples
    --------
    >>> y, x = np.mgrid[0:60, 0:60] + 0.5
    >>> ramp = np.clip((x - 30) + 0.1 * (y - 30), -0.5, 0.5)  # a step, sampled by pixels
    >>> round(edge_response(0.4 + 0.3 * ramp).contrast, 3)
    0.375
    """
    light = np.asarray(luma, float)
    if light.ndim != 2 or min(light.shape) < 8 or not np.isfinite(light).all():
        raise InputError(
            f"a piece of {' × '.join(str(n) for n in light.shape)} px cannot hold an edge",
            where="edge",
            hint="Take at least 8 px along each side, without gaps",
        )
    pixels = edge_pixels(light, corners_px)
    line = fit_edge(pixels)
    pixels = without_shading(pixels, line)
    line = fit_edge(pixels, start=line)
    spread = edge_spread(pixels, line, airy_px=airy_px)
    noise = residual_noise(pixels, spread, light.shape)
    if noise.contrast_to_noise < LEAST_CONTRAST_TO_NOISE:
        raise InputError(
            f"the edge stands only {noise.contrast_to_noise:.1f} times above the noise",
            where="edge",
            hint="Give it more light or a lower ISO",
        )
    frequency = np.arange(0.0, MOST_PER_PX + 1e-9, FREQUENCY_STEP_PER_PX)
    rows = spread.rows(frequency)
    mtf, sd = _modulus(rows, spread, noise, frequency)
    half, half_sd = _half(spread, noise, frequency, mtf)
    return EdgeResponse(
        frequency_per_px=frequency,
        mtf=mtf,
        mtf_sd=sd,
        mtf50_per_px=half,
        mtf50_sd_per_px=half_sd,
        sigma_px=None if half is None else HALF_GAUSSIAN / half,
        **_geometry(pixels, line),
        **_levels(spread, noise),
        pixels=int(spread.inside.sum()),
        clipped=_is_clipped(pixels, spread, clipped),
    )


def _linear(
    rows: NDArray[np.complex128], spread: Spread
) -> tuple[FloatArray, FloatArray, NDArray[np.complex128]]:
    """Return the raw modulus and how it changes with each bin, and the transform's own rows."""
    total = rows @ spread.level
    step = total[0].real
    share = total / step
    phase = np.exp(-1j * np.angle(share))
    along = (phase[:, None] * rows).real - np.abs(share)[:, None] * rows[0].real
    return np.abs(share), along / step, rows / step


def _modulus(
    rows: NDArray[np.complex128], spread: Spread, noise: NoiseOfEdge, frequency: FloatArray
) -> tuple[FloatArray, FloatArray]:
    raw, along, turned = _linear(rows, spread)
    variance = (along**2) @ noise.bin_variance * noise.growth(frequency)
    both = (np.abs(turned) ** 2) @ noise.bin_variance * noise.growth(frequency)
    across = np.maximum(both - variance, 0.0)  # noise at right angles to it only ever adds
    mtf = np.sqrt(np.maximum(raw**2 - across, 0.0))
    mtf[0] = 1.0
    return mtf, NOISE_FACTOR * np.sqrt(variance)


def _half(
    spread: Spread, noise: NoiseOfEdge, frequency: FloatArray, mtf: FloatArray
) -> tuple[float | None, float]:
    below = np.flatnonzero(mtf < 0.5)
    if not len(below):
        return None, 0.0
    k = int(below[0])
    half = float(np.interp(-0.5, -mtf[k - 1 : k + 1], frequency[k - 1 : k + 1]))
    around = half * np.array([0.0, 0.9, 1.0, 1.1])  # the first is what all is divided by
    raw, along, _ = _linear(spread.rows(around), spread)
    slope = (raw[3] - raw[1]) / (around[3] - around[1])
    variance = float((along[2] ** 2) @ noise.bin_variance) * noise.shared.growth(along[2])
    return half, NOISE_FACTOR * float(np.sqrt(variance) / max(abs(slope), 1e-9))


def _geometry(pixels: EdgePixels, line: EdgeLine) -> dict[str, float]:
    x, y = pixels.normal
    turn = np.degrees(np.arctan(line.slope))  # of the line against the mean gradient
    angle = (float(np.degrees(np.arctan2(-y, x)) + turn) + 180.0) % 360.0 - 180.0
    off = abs(angle) % 90.0
    return {
        "angle_deg": angle,
        "tilt_deg": min(off, 90.0 - off),
        "curve_px": abs(line.bend) * (pixels.length_px / 2) ** 2,
        "length_px": pixels.length_px,
    }


def _levels(spread: Spread, noise: NoiseOfEdge) -> dict[str, float]:
    step = spread.bright - spread.dark
    low, high = (spread.level - spread.dark) / step, (spread.level - spread.bright) / step
    smooth = np.ones(BINS_PER_PX) / BINS_PER_PX
    over = max(np.convolve(high, smooth, "valid").max(), -np.convolve(low, smooth, "valid").min())
    chance = 3.0 * np.sqrt(np.median(noise.bin_variance) / BINS_PER_PX) / step
    return {
        "dark_level": spread.dark,
        "bright_level": spread.bright,
        "contrast": float(step / max(spread.bright + spread.dark, 1e-12)),
        "noise": float(1.0 / noise.contrast_to_noise),
        "overshoot_ratio": float(max(over - chance, 0.0)),
    }


def _is_clipped(pixels: EdgePixels, spread: Spread, clipped: ArrayLike | None) -> bool:
    if clipped is None:
        return False
    flags = np.asarray(clipped, bool)[pixels.row, pixels.column]
    bright = spread.pixel_distance_px > 0
    shares = [flags[side].mean() for side in (bright, ~bright) if side.any()]
    return bool(max(shares, default=0.0) > CLIPPED_SHARE)
