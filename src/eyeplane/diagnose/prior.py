"""How probable each cause of softness is by the settings alone, before looking at the pixels."""

import functools
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.diagnose import words
from eyeplane.diagnose.case import FaceCase, sitters
from eyeplane.diagnose.lens import Z90
from eyeplane.diagnose.motion import flash_alone
from eyeplane.diagnose.signs import SMALL_APERTURE, diffraction_px
from eyeplane.light import FULL_WELL, LUMA_POWER, SKIN_LEVEL
from eyeplane.optics import PointSpread, blur_for_print_px, reach_cm
from eyeplane.people import (
    HAND,
    LIVELY,
    MISS_MM,
    MISS_SHARE,
    UNKNOWN,
    UNKNOWN_LIVELY_SHARE,
    log_spread,
    usual_spread_mm,
)
from eyeplane.records import Exposure, FrameReading, KitFocus, Learned, Measured

FloatArray = NDArray[np.float64]

VISIBLE_PX = 1.5  # just visible disc: half of what one picture tells from texture for sure (3 px)
LINE_TO_DISC = 0.70508 / 0.603355  # a line halves the contrast where a disc 1.17 times as wide does
CELLS_BELOW, CELLS_ABOVE = 40, 75  # cells of size below and above the just visible blur
CELL_RATIO = 1.08  # width of a cell of size, finer than any blur is measured
SAID_SHARE = 0.15  # of the distance: a larger focus error is nothing that anybody has in mind
# Depth between the focused face of a group and another: half of groups stand in one row, half in
# rows some 600 mm apart (trade practice); sd, shares from memory.
ROW_MM, ROWS_MM = 60.0, 300.0
SMEAR_SHARE = 0.01  # frames through a smear or haze worth a word; from memory
SMEAR_PX, SMEAR_LOG_SD = 4.0, 0.7  # and what it softens by; from memory
OWN_PX = 1.5  # disc that passes for the capture's own softness: measuring leaves 1 to 2 px out
ODD_SHARE = 0.04  # a knock, wind, a shutter time that is not the true one; from memory
WIDE_PX = (0.1, 100.0)  # where nothing is known every size between these is as probable, by ratio
FLASH_TIME_S = 1 / 500  # t.1 of flash, 1/250 s at full power to 1/2000 s at low; trade practice
ISO_LOG_SD = 0.45  # of the blur that equals the noise told by ISO alone; from memory
EQUAL_STEP = 0.05  # of ln(noise) in which its equal blur is worked out
PUSHED_SHARE = 0.03  # of frames are pushed by stops; from memory


@dataclass(frozen=True, slots=True, kw_only=True)
class CausePrior:
    """How probable one cause is by the settings.

    Attributes
    ----------
    cause : str
        One of the causes; "motion" is motion that neither a hand nor a sitter usually makes.
    prior : float
        Probability that it costs most, and more than a just visible blur, 0..1. All sum to 1.
    because : str
        What it rests on, in a photographer's words.
    cells : tuple of float
        The same probability cell by cell of size, as `cell_sizes_px` has them; below the just
        visible blur too, where it counts as "none".
    """

    cause: str
    prior: float
    because: str
    cells: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class _Part:
    cause: str
    beyond: Callable[[FloatArray], FloatArray]  # probability of a larger blur than these, px
    because: str


def _edges_px() -> FloatArray:
    steps = np.arange(-CELLS_BELOW, CELLS_ABOVE + 1)
    return np.asarray(VISIBLE_PX * CELL_RATIO**steps, float)


def cell_sizes_px() -> FloatArray:
    """Return the middles of the cells of size that a `CausePrior` counts in.

    Returns
    -------
    ndarray
        Disc diameters in px, rising; `VISIBLE_PX` is the lower edge of cell `CELLS_BELOW`, and
        the outermost cells hold all that lies beyond them.
    """
    edges = _edges_px()
    return np.asarray(np.sqrt(edges[1:] * edges[:-1]))


def prior_of(case: FaceCase, reading: FrameReading, learned: Learned) -> tuple[CausePrior, ...]:
    """Return how probable each cause is by the settings alone.

    Parameters
    ----------
    case : FaceCase
        One face: its distance, scale, noise and the print it is judged on.
    reading : FrameReading
        Its EXIF and pixel pitch.
    learned : Learned
        This photographer's own numbers; defaults stand where they are missing.

    Returns
    -------
    tuple of CausePrior
        Focus, depth (groups only), shake, sitter, motion, glass, noise, and "none" or "pixels".

    Notes
    -----
    Each cause has a distribution of the blur that it makes at this eye: focus error times the
    steepness of the cone of blur, speed of hand or sitter times shutter time, and so on. They are
    taken as independent; a cause's prior is the probability that it makes the largest blur of
    all and a larger one than the just visible. Where a number is missing from the file, every
    size between `WIDE_PX` is as probable by ratio, and the text says what is missing.
    """
    edges = _edges_px()
    parts = _parts(case, reading, learned)
    beyond = np.clip(np.array([part.beyond(edges) for part in parts]), 0.0, 1.0)
    beyond[:, 0], beyond[:, -1] = 1.0, 0.0
    below = 1.0 - beyond
    middle = 0.5 * (below[:, 1:] + below[:, :-1])
    share = np.diff(below, axis=1) / np.maximum(middle, 1e-12)
    # That the largest lies in a cell is exact; within it, causes share by how much of them does.
    cells = share / np.maximum(share.sum(axis=0), 1e-300) * np.diff(np.prod(below, axis=0))
    priors = [
        CausePrior(
            cause=part.cause,
            prior=float(row[CELLS_BELOW:].sum()),
            because=part.because,
            cells=tuple(float(v) for v in row),
        )
        for part, row in zip(parts, cells, strict=True)
    ]
    left = tuple(float(v) for v in cells[:, :CELLS_BELOW].sum(axis=0))
    return (*priors, _nothing(case, left))


def _nothing(case: FaceCase, left: tuple[float, ...]) -> CausePrior:
    """Return what is left where no cause makes a visible blur: none, or the pixels."""
    promised, possible = case.view.print_cm, case.possible_cm
    few = promised is not None and promised > possible
    edge, reach = case.view.long_edge_px, words.cm(possible)
    return CausePrior(
        cause="pixels" if few else "none",
        prior=sum(left),
        because=f"{edge}{words.THIN}px hold {reach} at most"
        if few
        else f"blur up to {words.px(VISIBLE_PX)} does not show",
        cells=(*left, *(0.0,) * CELLS_ABOVE),
    )


def _parts(case: FaceCase, reading: FrameReading, learned: Learned) -> list[_Part]:
    parts = [_focus(case, reading, learned)]
    if sum(sitters(reading)) > 1 and case.sitter:
        parts.append(_depth(case))
    parts += [
        _shake(reading, learned),
        _sitter(case, reading, learned),
        _Part(
            "motion",
            lambda px: ODD_SHARE * _wide(px),
            "a knock, wind or a wrong shutter time in the file is rare",
        ),
        _glass(reading),
        _noise(case, reading),
    ]
    return parts


def _wide(px: FloatArray) -> FloatArray:
    low, high = WIDE_PX
    return np.asarray(np.clip(np.log(high / px) / math.log(high / low), 0.0, 1.0))


def _erfc(x: FloatArray) -> FloatArray:
    return np.array([math.erfc(v) for v in x])


def _log_normal(median_px: float, log_sd: float) -> Callable[[FloatArray], FloatArray]:
    middle = math.log(max(median_px, 1e-9))
    return lambda px: 0.5 * _erfc((np.log(px) - middle) / (log_sd * math.sqrt(2.0)))


def kit_focus(exif: Exposure, learned: Learned) -> KitFocus | None:
    """Return what was learned of this frame's kit, if anything was.

    Parameters
    ----------
    exif : Exposure
        Names body and lens.
    learned : Learned
        Any number of kits.

    Returns
    -------
    KitFocus or None
        The kit's own line, not one of its settings.
    """
    if not exif.body:
        return None
    body, lens = exif.body.strip(), (exif.lens or "").strip()
    number = (exif.body_serial or "")[-4:]
    found = [
        k
        for k in learned.focus
        if k.kit.startswith(body)
        and (lens in k.kit if lens else " with " not in k.kit)
        # Two bodies of one make are told apart by the ends of their serial numbers.
        and ("(…" not in k.kit or (number and f"…{number}" in k.kit))
    ]
    return max(found, key=lambda k: (not k.setting, k.frames), default=None)


def _focus(case: FaceCase, reading: FrameReading, learned: Learned) -> _Part:
    lens = case.lens
    if lens is None:
        return _Part("focus", _wide, "aperture, focal length or distance is not known")
    distance_mm = lens.distance_mm.value
    steep = _px_per_mm(case)
    kit = kit_focus(reading.exposure, learned)
    m = lens.focal_length_mm / max(distance_mm - lens.focal_length_mm, 1.0)
    bias, sd = 0.0, usual_spread_mm(magnification=m)
    whose = "a usual focus error"
    if kit is not None:
        unsure = (kit.bias_mm.high - kit.bias_mm.low) / (2 * Z90)
        bias, sd = kit.bias_mm.value, max(math.hypot(kit.spread_mm.value, unsure), 1.0)
        whose = "this kit's focus error"
    usual = math.hypot(bias, sd)

    def beyond(px: FloatArray) -> FloatArray:
        z = px / steep
        scale = sd * math.sqrt(2.0)
        near = 0.5 * (_erfc((z - bias) / scale) + _erfc((z + bias) / scale))
        far = 1.0 - 2.0 / math.pi * np.arctan(z / MISS_MM)
        return np.asarray((1.0 - MISS_SHARE) * near + MISS_SHARE * far)

    where = f"at {words.f_stop(lens.f_number)} and {words.mm(distance_mm)}"
    size = f" of {words.mm(usual)}" if usual <= SAID_SHARE * distance_mm else ""
    told = f"{where} {whose}{size} blurs by {words.px(usual * steep)}"
    return _Part("focus", beyond, told)


def _px_per_mm(case: FaceCase) -> float:
    """Return the blur at the eye for each mm between it and the focus plane, near the eye."""
    if case.lens is None:
        return 0.0
    distance = np.array([case.lens.distance_mm.value])
    return max(float(case.lens.circle_px(distance + 1.0, distance)[0]), 1e-9)


def _depth(case: FaceCase) -> _Part:
    if case.lens is None:
        return _Part("depth", _wide, "aperture, focal length or distance is not known")
    steep = _px_per_mm(case)
    told = (
        f"rows stand some {words.mm(2 * ROWS_MM)} apart:"
        f" {words.px(2 * ROWS_MM * steep)} at {words.f_stop(case.lens.f_number)}"
    )

    def beyond(px: FloatArray) -> FloatArray:
        z = px / steep / math.sqrt(2.0)
        return np.asarray(0.5 * _erfc(z / ROW_MM) + 0.5 * _erfc(z / ROWS_MM))

    return _Part("depth", beyond, told)


def _spread(told: Measured | None, usual: float, usual_log_sd: float) -> tuple[float, float]:
    """Return median and log spread of a speed, learned or usual."""
    if told is None or told.value <= 0:
        return usual, usual_log_sd
    return told.value, log_spread(told)


def _open_s(exif: Exposure) -> tuple[float, str] | None:
    """Return for how long light drew the picture, and how that is said."""
    time_s = exif.exposure_time_s
    if not time_s or time_s <= 0:
        return None
    if flash_alone(exif) and time_s > FLASH_TIME_S:
        return FLASH_TIME_S, f"flash did the lighting: in its {words.shutter(FLASH_TIME_S)}"
    return time_s, f"at {words.shutter(time_s)}"


def _shake(reading: FrameReading, learned: Learned) -> _Part:
    exif, pitch = reading.exposure, reading.pitch_um
    drawn = _open_s(exif)
    if drawn is None or not exif.focal_length_mm or pitch is None or pitch.value <= 0:
        what = "the shutter time" if drawn is None else "focal length or pixel size"
        return _Part("shake", _wide, f"{what} is not known")
    own = learned.shake_deg_per_s
    rate, log_sd = _spread(own, HAND.median_deg_per_s, HAND.log_sd)
    length = math.radians(rate) * drawn[0] * exif.focal_length_mm * 1000.0 / pitch.value
    whose = "your hand" if own is not None else "a hand"
    told = f"{drawn[1]} {whose} moves the picture by about {words.px(length)}"
    return _Part("shake", _log_normal(LINE_TO_DISC * length, log_sd), told)


def _sitter(case: FaceCase, reading: FrameReading, learned: Learned) -> _Part:
    drawn = _open_s(reading.exposure)
    scale = case.reading.face.mm_per_px.value
    if drawn is None or scale <= 0:
        return _Part("sitter", _wide, "the shutter time is not known")
    own = learned.sitter_mm_per_s
    speed, log_sd = _spread(own, UNKNOWN.median_mm_per_s, UNKNOWN.log_sd)
    length = speed * drawn[0] / scale
    whose = "this sitter" if own is not None else "a quiet sitter"
    told = f"{drawn[1]} {whose} moves by about {words.px(length)}"
    calm = _log_normal(LINE_TO_DISC * length, log_sd)
    if own is not None:
        return _Part("sitter", calm, told)
    share = UNKNOWN_LIVELY_SHARE
    lively = _log_normal(LINE_TO_DISC * LIVELY.median_mm_per_s * drawn[0] / scale, LIVELY.log_sd)
    return _Part("sitter", lambda px: (1.0 - share) * calm(px) + share * lively(px), told)


def _glass(reading: FrameReading) -> _Part:
    smear = _log_normal(SMEAR_PX, SMEAR_LOG_SD)
    disc, f_number = diffraction_px(reading), reading.exposure.f_number or 0.0
    if disc is None or f_number < SMALL_APERTURE:
        return _Part("glass", lambda px: SMEAR_SHARE * smear(px), "a smear on the glass is rare")
    beyond_px = math.sqrt(max(disc**2 - OWN_PX**2, 0.0))
    small = _log_normal(beyond_px, 0.15)
    told = f"{words.f_stop(f_number)} alone softens by {words.px(disc)}"
    return _Part(
        "glass", lambda px: 1.0 - (1.0 - SMEAR_SHARE * smear(px)) * (1.0 - small(px)), told
    )


def _noise(case: FaceCase, reading: FrameReading) -> _Part:
    iso = reading.exposure.iso
    if not iso or iso <= 0:
        return _Part("noise", lambda px: 0.1 * _wide(px), "the ISO is not known")
    pitch = 6.0 if reading.pitch_um is None else min(max(reading.pitch_um.value, 0.7), 12.0)
    level = case.reading.level or SKIN_LEVEL
    electrons = FULL_WELL * (pitch / 6.0) ** 2 * 100.0 / iso * min(max(level, 0.01), 1.0)
    equal = equal_blur_px(math.sqrt(LUMA_POWER / electrons))
    told = f"grain of ISO {iso:.0f} costs no more than a blur of {words.px(equal)}"
    usual = _log_normal(equal, ISO_LOG_SD)
    # A pushed exposure shows more grain than its ISO tells.
    return _Part(
        "noise", lambda px: (1.0 - PUSHED_SHARE) * usual(px) + PUSHED_SHARE * _wide(px), told
    )


def equal_blur_px(noise: float) -> float:
    """Return the disc that costs as much reach as some noise does.

    Parameters
    ----------
    noise : float
        Standard deviation over mean, per pixel, >= 0.

    Returns
    -------
    float
        Diameter in px, to 5 %; the same for every frame and viewer, since both costs scale alike.
        0 below a noise of 0.001, which costs nothing.
    """
    if noise < 0.001:
        return 0.0
    return _equal_blur_px(round(math.log(min(noise, 2.0)) / EQUAL_STEP))


@functools.lru_cache(maxsize=256)
def _equal_blur_px(step: int) -> float:
    # Any frame will do: one of 6000 px from 50 cm.
    reach = reach_cm(
        spread=PointSpread(),
        long_edge_px=6000,
        noise_contrast=math.exp(step * EQUAL_STEP),
        viewing_cm=50.0,
    )
    return blur_for_print_px(long_edge_px=6000, print_cm=float(reach), viewing_cm=50.0)
