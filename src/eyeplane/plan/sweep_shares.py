"""Shares of frames at thousands of points, the focus error summed in closed form.

The sums are those of `eyeplane.plan.frames`; a test holds the two together. For each of a few lines
drawn at random, the focus plane may lie within a window; how often it does is a difference of
distribution functions. So few draws are as good as many there. Single precision is enough.
"""

import functools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.optics import BLUR_POWER, special
from eyeplane.people import camera_sway, hand_speed, sitter_speed
from eyeplane.people.speeds import SitterSpeed
from eyeplane.plan.draws import SEED, FrameDraws, draw_frames
from eyeplane.plan.frames import MISS_LOG_SD, MISS_MEAN, powered
from eyeplane.plan.hold import HoldLimits
from eyeplane.plan.middle import ORDER_DISC_UM, ORDER_LINE_UM, drawn_um, orderly
from eyeplane.plan.scene import Settings
from eyeplane.records import PlanHand, PlanSitter

FloatArray = NDArray[np.float64]
SingleArray = NDArray[np.float32]
Numbers = NDArray[np.intp] | slice

# Lines drawn of the first part of a sitter's mixture, and of each other part: for shares, which
# hardly depend on their number, and for the middle frame, which does.
SHARE_LINES, MIDDLE_LINES = (32, 16), (96, 32)
BELIEFS = 8  # sets of unsure numbers
CELLS = 50_000  # points × lines worked out at once: their arrays stay within a processor's cache
TRIED = (0.4, 0.8, 1.4, 2.8)  # times a first guess: blur at which the middle frame is looked for
NO_END_MM = 1e6  # stands for a window without end
LEAST = 1e-4  # of a share, so that its probit is finite
_NO_END = np.float32(NO_END_MM)
_NARROW, _NOTHING, _HALF = np.float32(1e-6), np.float32(1e-30), np.float32(0.5)
_PAGE = np.float32(0.7978845608), np.float32(0.044715)
_ARC_TANGENT = np.array([0.0208351, -0.0851330, 0.1801410, -0.3302995, 0.9998660], np.float32)


@dataclass(frozen=True, slots=True, kw_only=True)
class Aimed:
    """One eye and the focus plane at each point, mm from the lens.

    Attributes
    ----------
    focal_length_mm, eye_mm, focus_mm : ndarray
        Focal length, eye, and where the focus plane is put.
    bias_mm, spread_mm, unsure_log_sd, miss_share, miss_mm : ndarray
        As in `FocusError`.
    """

    focal_length_mm: FloatArray
    eye_mm: FloatArray
    focus_mm: FloatArray
    bias_mm: FloatArray
    spread_mm: FloatArray
    unsure_log_sd: FloatArray
    miss_share: FloatArray
    miss_mm: FloatArray

    def at(self, numbers: Numbers) -> "Aimed":
        """Return some of the points.

        Parameters
        ----------
        numbers : ndarray of int or slice
            Which.

        Returns
        -------
        Aimed
            In that order.
        """
        return Aimed(**{name: getattr(self, name)[numbers] for name in Aimed.__slots__})


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """Lines drawn for one photographer and one sitter, (sets, lines) each.

    Attributes
    ----------
    turn_rad, sway_mm, moves_mm : ndarray
        In a second: turn of the camera, its sway, the sitter's motion.
    aligned : ndarray
        Cosine of the angle between the last and the others.
    weight : ndarray
        (lines,): share of frames that each stands for.
    focus_z, odds : ndarray
        Belief about the spread of focus, and times the usual odds of a miss.
    """

    turn_rad: SingleArray
    sway_mm: SingleArray
    moves_mm: SingleArray
    aligned: SingleArray
    weight: SingleArray
    focus_z: SingleArray
    odds: SingleArray


@functools.cache
def _draws(count: int) -> FrameDraws:
    return draw_frames(np.random.default_rng(SEED), frames=count)


def lines_of(
    hand: PlanHand,
    sitter: PlanSitter,
    *,
    stabiliser_stops: float,
    beliefs: bool,
    counts: tuple[int, int] = SHARE_LINES,
) -> Lines:
    """Return lines drawn for one photographer and one sitter.

    Parameters
    ----------
    hand : PlanHand
        Who photographs.
    sitter : PlanSitter
        Who sits.
    stabiliser_stops : float
        Stops that a stabiliser gives.
    beliefs : bool
        Whether to draw them for every set of unsure numbers; else each line has its own, so that
        shares are those to be expected.
    counts : tuple of int
        Lines of the first part of the sitter's mixture, and of each other.

    Returns
    -------
    Lines
        Each part of the sitter's mixture has lines of its own, weighted by its share.
    """
    turn = hand_speed(
        learned=hand.shake_deg_per_s, stabiliser_stops=stabiliser_stops, support=hand.support
    )
    sway = camera_sway(
        support=hand.support, learned=hand.shake_deg_per_s, stabiliser_stops=stabiliser_stops
    )
    parts = sitter_speed(
        mood=sitter.mood, age_years=sitter.age_years, learned=sitter.speed_mm_per_s
    )
    few = _draws(BELIEFS)
    columns: list[tuple[FloatArray, ...]] = []
    for place, (share, part) in enumerate(parts):
        count = counts[min(place, 1)]
        drawn = _draws(count)
        believed = few if beliefs else drawn
        focus_z, hand_z, sitter_z, miss_z = (
            z[:, None] if beliefs else z[None, :]
            for z in (
                believed.focus_belief_z,
                believed.hand_belief_z,
                believed.sitter_belief_z,
                believed.focus_z if beliefs else np.full(count, MISS_LOG_SD / 2),
            )
        )
        median_rad = np.radians(turn.median_deg_per_s)
        turned = median_rad * np.exp(turn.log_sd * drawn.hand_z + turn.unsure_log_sd * hand_z)
        row = (
            turned,
            _speeds(sway, drawn.sway_z, hand_z),
            _speeds(part, drawn.sitter_z[0], sitter_z),
            drawn.angle_cos[0],
            np.full((1, count), share / count),
            focus_z,
            np.exp(MISS_LOG_SD * miss_z + MISS_MEAN),
        )
        columns.append(tuple(np.broadcast_to(c, turned.shape) for c in row))
    joined = [np.concatenate(c, axis=1).astype(np.float32) for c in zip(*columns, strict=True)]
    return Lines(
        turn_rad=joined[0],
        sway_mm=joined[1],
        moves_mm=joined[2],
        aligned=joined[3],
        weight=joined[4][0],
        focus_z=joined[5],
        odds=joined[6],
    )


def _speeds(speed: SitterSpeed, drawn_z: FloatArray, belief_z: FloatArray) -> FloatArray:
    spread = np.exp(speed.log_sd * drawn_z + speed.unsure_log_sd * belief_z)
    return np.asarray(speed.median_mm_per_s * spread)


def _single(values: FloatArray) -> SingleArray:
    """Return one number a point, ready to stand against (points, sets, lines)."""
    return np.asarray(values, np.float32)[:, None, None]


def line_um_per_s(aimed: Aimed, lines: Lines) -> SingleArray:
    """Return the line that each frame draws in a second.

    Parameters
    ----------
    aimed : Aimed
        Points.
    lines : Lines
        Hand and sitter.

    Returns
    -------
    ndarray
        (points, sets, lines), µm on the sensor.
    """
    f, s = aimed.focal_length_mm, aimed.focus_mm
    near = _single(1.0 / aimed.eye_mm)
    sway, moves = lines.sway_mm * near, lines.moves_mm * near
    shake2 = lines.turn_rad * lines.turn_rad + sway * sway
    square = shake2 + moves * (moves + 2 * np.sqrt(shake2) * lines.aligned)
    return np.asarray(_single(1000.0 * f * s / (s - f)) * np.sqrt(np.maximum(square, 0.0)))


def _window_mm(aimed: Aimed, f_number: FloatArray, free_um: SingleArray) -> list[SingleArray]:
    """Return where the plane may lie, from where it is put, for the disc to stay within `free_um`.

    From disc = f² / (N (s − f)) · |d − s| / d, solved for s on either side of the eye at d.
    """
    f, d, s = (_single(a) for a in (aimed.focal_length_mm, aimed.eye_mm, aimed.focus_mm))
    scale = f_number * aimed.eye_mm / (1000.0 * aimed.focal_length_mm**2)
    share = free_um * _single(scale)
    reach = share * (d - f)
    low = -reach / (1 + share)
    high = np.minimum(reach / np.maximum(1 - share, _NARROW), _NO_END)
    return [low + (d - s), high + (d - s)]


def _chance(aimed: Aimed, lines: Lines, low: SingleArray, high: SingleArray) -> SingleArray:
    """Return (points, sets): how often the focus plane lies within each line's window."""
    spread = _single(aimed.spread_mm) * np.exp(_single(aimed.unsure_log_sd) * lines.focus_z)
    bias, width = _single(aimed.bias_mm), _single(aimed.miss_mm)
    high = np.maximum(high, low)
    hit = _normal((high - bias) / spread) - _normal((low - bias) / spread)
    # The difference of the two arc tangents of a Cauchy distribution, as one angle.
    stray = _half_turns(width * width + high * low, width * (high - low))
    odds = _single(aimed.miss_share / np.maximum(1.0 - aimed.miss_share, 1e-9)) * lines.odds
    held = hit + odds / (1 + odds) * (stray - hit)
    return np.asarray(held @ lines.weight)


def _normal(z: SingleArray) -> SingleArray:
    """Return the share of a normal distribution that lies below, to 0.0002.

    By ½ (1 + tanh(√(2/π) (z + 0.044715 z³))): E. Page, Applied Statistics 26, 75-76, 1977 (from
    memory; a test holds the error).
    """
    z = np.clip(z, np.float32(-6.0), np.float32(6.0))
    return np.asarray(_HALF + _HALF * np.tanh(_PAGE[0] * z * (1 + _PAGE[1] * z * z)))


def _half_turns(ahead: SingleArray, aside: SingleArray) -> SingleArray:
    """Return the angle of a point over π, 0..1: ``aside`` >= 0, both not 0 at once; to 0.00001.

    A quarter turn less twice the arc tangent of a ratio that never leaves −1..1, and that by a
    polynomial (Abramowitz & Stegun 1964, 4.4.47; a test holds the error).
    """
    ratio = ahead / np.maximum(np.sqrt(ahead * ahead + aside * aside) + aside, _NOTHING)
    square = ratio * ratio
    series = functools.reduce(lambda total, term: total * square + term, _ARC_TANGENT)
    return np.asarray(_HALF - np.float32(2 / np.pi) * ratio * series)


def shares_at(
    eyes: Sequence[Aimed], settings: Settings, limits: HoldLimits, lines: Lines
) -> FloatArray:
    """Return the share of frames that hold at each point.

    Parameters
    ----------
    eyes : sequence of Aimed
        The eyes that count: one, or both.
    settings : Settings
        One entry a point.
    limits : HoldLimits
        What blur each print takes.
    lines : Lines
        Hand and sitter.

    Returns
    -------
    ndarray
        (points, sets), 0..1.
    """
    out = np.zeros((len(settings), len(lines.focus_z)))
    for part in _blocks(len(settings), lines):
        out[part] = _shares([e.at(part) for e in eyes], settings, limits, lines, part)
    return np.clip(out, 0.0, 1.0)


def _shares(
    eyes: list[Aimed], settings: Settings, limits: HoldLimits, lines: Lines, part: slice
) -> FloatArray:
    good = limits.disc_um[part] > 0
    disc_limit = np.where(good, limits.disc_um[part], 1.0)
    line_limit = np.where(good, limits.line_um[part], 1.0)
    windows = []
    for eye in eyes:
        line = line_um_per_s(eye, lines) * _single(1.0 / line_limit)
        cost = powered(line * _single(settings.motion_s[part]), BLUR_POWER)
        ghost = settings.ghost_share[part]
        if (ghost > 0).any():
            ambient = powered(line * _single(settings.shutter_s[part]), BLUR_POWER)
            cost = cost + _single(ghost) * np.minimum(ambient, _single(limits.room_share[part]))
        free = powered(1 - cost, 1.0 / BLUR_POWER) * _single(disc_limit)
        windows.append(_window_mm(eye, settings.f_number[part], free))
    low = functools.reduce(np.maximum, (w[0] for w in windows))
    high = functools.reduce(np.minimum, (w[1] for w in windows))
    return np.where(good[:, None], _chance(eyes[0], lines, low, high), 0.0)


def middle_blur_um(
    aimed: Aimed, settings: Settings, lines: Lines, limits: HoldLimits
) -> FloatArray:
    """Return the blur of the middle frame at each point: half of all frames are worse.

    Parameters
    ----------
    aimed : Aimed
        One eye.
    settings : Settings
        One entry a point.
    lines : Lines
        Hand and sitter, each line with its own beliefs.
    limits : HoldLimits
        What blur each print takes: so much a ghost may cost.

    Returns
    -------
    ndarray
        Diameter of the disc that blurs as much as the frame's disc and line together, µm.

    Notes
    -----
    The share of frames with less blur is worked out at four sizes about a guess and read off where
    it is a half; its probit is nearly straight over the logarithm of the size.
    """
    out = np.empty(len(settings))
    for part in _blocks(len(settings), lines):
        some = np.arange(len(settings))[part]
        out[part] = _middle(aimed.at(part), settings.at(some), lines, limits.at(some))
    return out


def _blocks(count: int, lines: Lines) -> Iterator[slice]:
    """Yield so many points in blocks."""
    size = max(1, CELLS // lines.aligned.size)
    for start in range(0, count, size):
        yield slice(start, start + size)


def _middle(aimed: Aimed, settings: Settings, lines: Lines, limits: HoldLimits) -> FloatArray:
    line = line_um_per_s(aimed, lines)
    if (settings.ghost_share > 0).any():
        line = drawn_um(settings, orderly(limits), line.astype(float)).astype(np.float32)
    else:
        line = line * _single(settings.motion_s)
    line = line * np.float32(ORDER_DISC_UM / ORDER_LINE_UM)
    cost = powered(line)
    f, s = aimed.focal_length_mm, aimed.focus_mm
    per_mm = 1000.0 * f**2 / settings.f_number / (s - f) / aimed.eye_mm
    away = np.hypot(aimed.eye_mm - s - aimed.bias_mm, aimed.spread_mm)
    guess = np.hypot(0.7 * per_mm * away, np.quantile(line, 0.5, axis=(1, 2)))
    sizes = np.array(TRIED)[:, None] * guess
    probits = []
    for size in sizes:
        free = powered(_single(size**BLUR_POWER) - cost, 1.0 / BLUR_POWER)
        share = _chance(aimed, lines, *_window_mm(aimed, settings.f_number, free)).mean(axis=1)
        probits.append(special.ndtri(np.clip(share.astype(float), LEAST, 1 - LEAST)))
    return np.exp(_crossing(np.log(sizes), np.array(probits)))


def _crossing(x: FloatArray, y: FloatArray) -> FloatArray:
    """Return where each rising column of y crosses 0, straight between and beyond its rows."""
    upper = np.clip((y < 0).sum(axis=0), 1, len(y) - 1)
    columns = np.arange(y.shape[1])
    x0, x1 = x[upper - 1, columns], x[upper, columns]
    y0, y1 = y[upper - 1, columns], y[upper, columns]
    step = np.clip(-y0 / np.maximum(y1 - y0, 1e-6), -2.0, 3.0)
    return np.asarray(x0 + (x1 - x0) * step)
