"""The blur of frames drawn at random, and what it costs at each setting."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.optics import BLUR_POWER
from eyeplane.people.speeds import SitterSpeed
from eyeplane.plan.blurs import disc_um, image_distance_mm
from eyeplane.plan.draws import FrameDraws
from eyeplane.plan.hold import HoldLimits
from eyeplane.plan.scene import Scene, Settings

FloatArray = NDArray[np.float64]
SingleArray = NDArray[np.float32]
BeliefArray = FloatArray | SingleArray

MISS_LOG_SD = 0.5  # of the odds of a miss, how unsure they are; .06 to .3 were counted
MISS_MEAN = -(MISS_LOG_SD**2) / 2  # so that over all beliefs the odds are on average as told
# The focus plane is drawn no nearer and no farther than these shares of the distance: a miss that
# far is one anyway.
NEAREST_SHARE, FARTHEST_SHARE = 0.4, 4.0
_NOTHING = np.float32(1e-30)  # has a logarithm, and is no blur
NEAREST_FOCALS = 1.2  # focal lengths from the lens: nearer there is no image to speak of


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameBlurs:
    """The blur of frames drawn at random, before aperture and time scale it.

    Attributes
    ----------
    disc_um : ndarray
        (eyes, frames): disc of missed focus at f/1.
    shake_um_per_s, sitter_um_per_s : ndarray
        (frames,) or (eyes, frames): lines that hand and sitter draw in a second.
    line_um_per_s : ndarray
        (eyes, frames): the line of both, each in its own direction.
    """

    disc_um: FloatArray
    shake_um_per_s: FloatArray
    sitter_um_per_s: FloatArray
    line_um_per_s: FloatArray


def frame_blurs(
    scene: Scene, focus_mm: float, draws: FrameDraws, belief_z: BeliefArray | None = None
) -> FrameBlurs:
    """Return the blur of frames drawn at random.

    Parameters
    ----------
    scene : Scene
        Distances, and how focus, hand and sitters vary.
    focus_mm : float
        Where the focus plane is put, from the lens.
    draws : FrameDraws
        What differs from frame to frame.
    belief_z : ndarray, optional
        (4,): one belief about focus, hand, sitter and misses for all frames; left out, every
        frame draws its own, so that the shares are those to be expected.

    Returns
    -------
    FrameBlurs
        Sizes on the sensor.
    """
    shake, moves, both = frame_lines(scene, focus_mm, draws, belief_z)
    return FrameBlurs(
        disc_um=frame_discs_um(scene, focus_mm, draws, belief_z),
        shake_um_per_s=shake,
        sitter_um_per_s=moves,
        line_um_per_s=both,
    )


def _beliefs(draws: FrameDraws, belief_z: BeliefArray | None) -> tuple[Any, ...]:
    if belief_z is None:
        return draws.focus_belief_z, draws.hand_belief_z, draws.sitter_belief_z, MISS_LOG_SD / 2
    return tuple(belief_z)


def _eyes_mm(scene: Scene, draws: FrameDraws) -> FloatArray:
    """Return (eyes, 1): how far they are, in the precision of the draws."""
    return np.asarray(scene.eyes_mm, draws.focus_z.dtype)[:, None]


def frame_discs_um(
    scene: Scene, focus_mm: float, draws: FrameDraws, belief_z: BeliefArray | None = None
) -> FloatArray:
    """Return the discs of missed focus alone.

    Parameters
    ----------
    scene, focus_mm, draws, belief_z : object
        As for `frame_blurs`.

    Returns
    -------
    ndarray
        (eyes, frames): at f/1.
    """
    focus_z, _, _, miss_z = _beliefs(draws, belief_z)
    plane = focus_mm + _focus_errors_mm(scene, draws, focus_z, miss_z)
    nearest_mm = max(NEAREST_SHARE * focus_mm, NEAREST_FOCALS * scene.kit.focal_length_mm)
    return disc_um(
        focal_length_mm=scene.kit.focal_length_mm,
        f_number=1.0,
        focus_mm=np.clip(plane, min(nearest_mm, focus_mm), FARTHEST_SHARE * focus_mm),
        eye_mm=_eyes_mm(scene, draws),
    )


def frame_lines(
    scene: Scene, focus_mm: float, draws: FrameDraws, belief_z: BeliefArray | None = None
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the lines of motion alone.

    Parameters
    ----------
    scene, focus_mm, draws, belief_z : object
        As for `frame_blurs`.

    Returns
    -------
    tuple of ndarray
        (eyes, frames): the line that the hand draws in a second, the sitter, and both.
    """
    _, hand_z, sitter_z, _ = _beliefs(draws, belief_z)
    image_um = 1000.0 * image_distance_mm(scene.kit, focus_mm=focus_mm)
    scale = image_um / _eyes_mm(scene, draws)  # µm on the sensor for a mm at the eye
    hand = scene.hand
    turn = hand.median_deg_per_s * np.exp(hand.log_sd * draws.hand_z + hand.unsure_log_sd * hand_z)
    sway = scene.sway.median_mm_per_s * np.exp(
        scene.sway.log_sd * draws.sway_z + scene.sway.unsure_log_sd * hand_z
    )
    shake = np.sqrt((image_um * np.radians(turn)) ** 2 + (scale * sway) ** 2)
    person = np.asarray(scene.person)
    alone = np.array_equal(person, np.arange(len(draws.sitter_z)))  # then nothing is repeated
    speeds, cosines = _speeds_mm_per_s(scene, draws, sitter_z), draws.angle_cos
    moves = scale * (speeds if alone else speeds[person])
    both = 2 * shake * moves * (cosines if alone else cosines[person])
    both += shake * shake
    both += moves * moves
    return shake, moves, np.sqrt(np.maximum(both, 0.0))


def powered(blur: FloatArray | SingleArray, power: float = BLUR_POWER) -> SingleArray:
    """Return blur to a power, by default the one at which it adds.

    Parameters
    ----------
    blur : ndarray
        Sizes, >= 0.
    power : float
        Above zero.

    Returns
    -------
    ndarray
        In single precision, whose logarithms take a quarter of the time; right to 0.00001 of
        itself.

    Examples
    --------
    >>> powered(np.array([0.0, 1.0, 10.0]), 2.0).round(3)
    array([  0.,   1., 100.], dtype=float32)
    """
    some = np.maximum(blur.astype(np.float32, copy=False), _NOTHING)
    return np.asarray(np.exp(np.float32(power) * np.log(some)))


def _focus_errors_mm(
    scene: Scene, draws: FrameDraws, belief_z: FloatArray | float, miss_z: FloatArray | float
) -> FloatArray:
    focus = scene.focus
    aimed = focus.bias_mm + focus.spread_mm * draws.focus_z * np.exp(focus.unsure_log_sd * belief_z)
    usual = focus.miss_share / max(1.0 - focus.miss_share, 1e-9)
    odds = usual * np.exp(MISS_LOG_SD * miss_z + MISS_MEAN)
    missed = draws.miss_u < odds / (1.0 + odds)
    return np.asarray(np.where(missed, focus.miss_mm * draws.miss_cauchy, aimed))


def _speeds_mm_per_s(scene: Scene, draws: FrameDraws, belief_z: FloatArray | float) -> FloatArray:
    """Return (people, frames): speeds drawn from the mixture."""
    belief = np.broadcast_to(belief_z, draws.sitter_z.shape)
    (_, most), *others = sorted(scene.sitters, key=lambda part: -part[0])
    speeds = _drawn_mm_per_s(most, draws.sitter_z, belief)
    start = 0.0
    for share, part in others:
        chosen = (draws.pick_u >= start) & (draws.pick_u < start + share)
        speeds[chosen] = _drawn_mm_per_s(part, draws.sitter_z[chosen], belief[chosen])
        start += share
    return speeds


def _drawn_mm_per_s(part: SitterSpeed, sitter_z: FloatArray, belief_z: FloatArray) -> FloatArray:
    logs = part.log_sd * sitter_z + part.unsure_log_sd * belief_z
    return np.asarray(part.median_mm_per_s * np.exp(logs))


def frame_costs(
    limits: HoldLimits, settings: Settings, blurs: FrameBlurs, which: ArrayLike | None = None
) -> FloatArray:
    """Return what blur costs each eye in each frame at each setting: up to 1 it holds.

    Parameters
    ----------
    limits : HoldLimits
        Of these settings.
    settings : Settings
        As many as asked about, k.
    blurs : FrameBlurs
        Of m eyes in n frames.
    which : array_like, optional
        Numbers of the eyes that count; all unless said.

    Returns
    -------
    ndarray
        Shape (k, m, n); infinite where nothing holds.

    Notes
    -----
    Where flash and ambient light mix, the ambient light's share g draws its own, longer line. For
    short lines second moments add: g L². At most the share's whole contrast is lost.
    """
    eyes = slice(None) if which is None else np.atleast_1d(np.asarray(which))
    disc = blurs.disc_um[eyes] ** BLUR_POWER
    line = blurs.line_um_per_s[eyes]
    good = limits.disc_um > 0
    disc_limit = np.where(good, limits.disc_um, 1.0)
    line_limit = np.where(good, limits.line_um, 1.0)
    by_disc = (1.0 / (settings.f_number * disc_limit)) ** BLUR_POWER
    by_line = (settings.motion_s / line_limit) ** BLUR_POWER
    cost = by_disc[:, None, None] * disc + by_line[:, None, None] * line**BLUR_POWER
    mixed = np.flatnonzero((settings.ghost_share > 0) & good)
    if len(mixed):
        share = settings.ghost_share[mixed, None, None]
        ambient = settings.shutter_s[mixed, None, None] * line / line_limit[mixed, None, None]
        most = limits.room_share[mixed, None, None]
        cost[mixed] += share * np.minimum(ambient**BLUR_POWER, most)
    cost[~good] = np.inf
    return np.asarray(cost)
