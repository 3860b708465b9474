"""A plan held against what came out: the share of frames it would have foretold, and what held."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from eyeplane.diagnose.motion import flash_alone
from eyeplane.diagnose.prior import FLASH_TIME_S, kit_focus
from eyeplane.learn.recency import effective_weights
from eyeplane.people import camera_sway, focus_error, hand_speed, sitter_speed
from eyeplane.people.learned import Z90
from eyeplane.plan.draws import BELIEF_FRAMES, first_frames, plan_draws
from eyeplane.plan.scene import Scene, Settings, settings_of
from eyeplane.plan.share import believed_shares, frame_shares
from eyeplane.records import (
    STANDARD_VIEWING_CM,
    FrameReading,
    Learned,
    Measured,
    PlanHand,
    PlanKit,
    PlanPrint,
    PlanSitter,
    Sitting,
    SittingFrame,
)
from eyeplane.records.foretold import shares_meet
from eyeplane.records.said import THIN, percent_ends, share_percent
from eyeplane.sitting.bursts import holds_goal

NEAREST_FOCAL_LENGTHS = 1.5  # a face nearer than this is no portrait but a slip


@dataclass(frozen=True, slots=True, kw_only=True)
class Foretold:
    """What a plan would have said of a sitting's frames, beside what was measured in them.

    Attributes
    ----------
    frames : int
        Frames that tell: one sitter, with settings, distance and reach.
    left_out : int
        Measured frames that do not.
    foretold_share : Measured
        Of these frames, to hold the print.
    held : int
        Frames that did.
    held_share : Measured
        The same as a share, with what so few frames leave open.
    agrees : bool
        Whether the two do not contradict each other.
    text : str
        In a sentence.
    """

    frames: int
    left_out: int
    foretold_share: Measured
    held: int
    held_share: Measured
    agrees: bool
    text: str


def foretell(
    sitting: Sitting,
    *,
    learned: Learned | None = None,
    sitter: PlanSitter | None = None,
    hand: PlanHand | None = None,
    stabiliser_stops: float = 0.0,
) -> Foretold | None:
    """Return what a plan would have said of a sitting's frames, beside what was measured.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.
    learned : Learned, optional
        Focus of each kit, speeds of hand and sitter: of other sittings, or the comparison says
        nothing. Left out, the usual numbers stand, as in a first plan.
    sitter, hand : records, optional
        Who sat and who photographed; an adult and a hand-held camera unless said.
    stabiliser_stops : float
        Stops by which a stabiliser slows the turning of the camera.

    Returns
    -------
    Foretold or None
        None if not one frame tells.

    Notes
    -----
    Each frame is foretold from its own aperture, time, ISO, distance and focal length, by the
    same lens, the same print and the same draws as a plan. Groups are left out: where each of
    them stood is known to a few centimetres only.
    """
    told = [frame for frame in sitting.frames if telling(frame)]
    measured = sum(frame.reading.status == "measured" for frame in sitting.frames)
    if not told:
        return None
    asked = asked_of(
        sitting, learned=learned, sitter=sitter, hand=hand, stabiliser_stops=stabiliser_stops
    )
    draws = first_frames(plan_draws(), BELIEF_FRAMES)
    values, beliefs = [], []
    for frame in told:
        scene, setting = asked(frame)
        values.append(frame_shares(scene, setting, scene.eyes_mm[0], draws)[0])
        beliefs.append(believed_shares(scene, setting, scene.eyes_mm[0], draws)[:, 0])
    low, high = (float(q) for q in np.quantile(np.mean(beliefs, axis=0), (0.05, 0.95)))
    value = float(np.mean(values))
    foretold = Measured(value=value, low=min(low, value), high=max(high, value))
    held = sum(holds_goal(frame.answer, sitting.goal_cm) for frame in told)
    weights = effective_weights([frame.burst or 0 for frame in told])
    held_share = wilson(held, len(told), weight=float(weights.sum()))
    return Foretold(
        frames=len(told),
        left_out=measured - len(told),
        foretold_share=foretold,
        held=held,
        held_share=held_share,
        agrees=shares_meet(foretold, held_share),
        text=foretold_words(foretold, held_share, (held, len(told)), goal_cm=sitting.goal_cm),
    )


def wilson(held: int, frames: int, *, weight: float) -> Measured:
    """Return a share of frames with its 90 % interval.

    Parameters
    ----------
    held, frames : int
        How many of how many, frames > 0.
    weight : float
        What the frames count for, since frames of a burst share their fate; <= frames.

    Returns
    -------
    Measured
        After E. B. Wilson, J. Am. Stat. Assoc. 22, 209-212, 1927.

    Examples
    --------
    >>> share = wilson(7, 10, weight=10.0)
    >>> round(share.low, 2), round(share.high, 2)
    (0.44, 0.87)
    """
    share, z2 = held / frames, Z90**2
    middle = (share + z2 / (2 * weight)) / (1 + z2 / weight)
    half = Z90 / (1 + z2 / weight) * math.sqrt(share * (1 - share) / weight + z2 / (4 * weight**2))
    return Measured(
        value=share,
        low=min(max(middle - half, 0.0), share),
        high=max(min(middle + half, 1.0), share),
    )


def asked_of(
    sitting: Sitting,
    *,
    learned: Learned | None = None,
    sitter: PlanSitter | None = None,
    hand: PlanHand | None = None,
    stabiliser_stops: float = 0.0,
) -> Callable[[SittingFrame], tuple[Scene, Settings]]:
    """Return what turns a frame into what a plan for it would have been asked.

    Parameters
    ----------
    sitting : Sitting
        For print and viewer.
    learned, sitter, hand, stabiliser_stops : object
        As for `foretell`.

    Returns
    -------
    callable
        Takes a frame that tells; returns what is fixed, and its own settings.
    """
    promise = PlanPrint(
        print_cm=sitting.goal_cm, viewing_cm=sitting.viewing.distance_cm or STANDARD_VIEWING_CM
    )
    who = (learned or Learned(), sitter or PlanSitter(), hand or PlanHand(), stabiliser_stops)
    return lambda frame: (_scene(frame, promise, who), _settings(frame.reading))


def telling(frame: SittingFrame) -> bool:
    """Return whether a frame can be held against a plan.

    Parameters
    ----------
    frame : SittingFrame
        A frame.

    Returns
    -------
    bool
        True for one sitter whose reach, distance and settings are known.
    """
    exif = frame.reading.exposure
    sitters = [n for n, face in enumerate(frame.answer.faces) if face.sitter]
    if frame.reading.status != "measured" or len(sitters) != 1 or frame.answer.reach_cm is None:
        return False
    if not (exif.f_number and exif.exposure_time_s and exif.iso and exif.focal_length_mm):
        return False
    distance = frame.reading.faces[sitters[0]].face.distance_mm
    pitch = frame.reading.pitch_um
    if distance is None or pitch is None or pitch.value <= 0:
        return False
    return distance.value > NEAREST_FOCAL_LENGTHS * exif.focal_length_mm


def _scene(
    frame: SittingFrame, promise: PlanPrint, who: tuple[Learned, PlanSitter, PlanHand, float]
) -> Scene:
    learned, sitter, hand, stops = who
    if learned.shake_deg_per_s is not None:
        stops = 0.0  # a stabiliser that was on is in what was learned already
    reading = frame.reading
    number = next(n for n, face in enumerate(frame.answer.faces) if face.sitter)
    distance = reading.faces[number].face.distance_mm
    kit, shake = _kit(reading), learned.shake_deg_per_s or hand.shake_deg_per_s
    eye_mm = distance.value if distance is not None else math.nan
    focus = kit_focus(reading.exposure, learned)
    return Scene(
        kit=kit,
        promise=promise,
        eyes_mm=(eye_mm,),
        person=(0,),
        focus=focus_error(
            magnification=kit.focal_length_mm / (eye_mm - kit.focal_length_mm),
            learned_bias_mm=None if focus is None else focus.bias_mm,
            learned_spread_mm=None if focus is None else focus.spread_mm,
            sensor_long_mm=kit.sensor_long_mm,
        ),
        hand=hand_speed(learned=shake, stabiliser_stops=stops, support=hand.support),
        sway=camera_sway(support=hand.support, learned=shake, stabiliser_stops=stops),
        sitters=sitter_speed(
            mood=sitter.mood,
            age_years=sitter.age_years,
            learned=learned.sitter_mm_per_s or sitter.speed_mm_per_s,
        ),
    )


def _kit(reading: FrameReading) -> PlanKit:
    pitch_um = reading.pitch_um.value if reading.pitch_um is not None else math.nan
    sides = sorted((reading.width_px, reading.height_px), reverse=True)
    return PlanKit(
        focal_length_mm=float(reading.exposure.focal_length_mm or math.nan),
        sensor_long_mm=sides[0] * pitch_um / 1000.0,
        sensor_short_mm=sides[1] * pitch_um / 1000.0,
        long_edge_px=sides[0],
        short_edge_px=sides[1],
    )


def _settings(reading: FrameReading) -> Settings:
    exif = reading.exposure
    time_s = float(exif.exposure_time_s or math.nan)
    drawn = min(time_s, FLASH_TIME_S) if flash_alone(exif) else time_s
    return settings_of(
        f_number=float(exif.f_number or math.nan),
        shutter_s=time_s,
        iso=float(exif.iso or math.nan),
        motion_s=drawn,
    )


def foretold_words(
    foretold: Measured, held_share: Measured, frames: tuple[int, int], *, goal_cm: float
) -> str:
    """Return how a plan did, in a sentence.

    Parameters
    ----------
    foretold, held_share : Measured
        Share of frames foretold to hold the print, and share that did.
    frames : tuple of int
        How many did, of how many.
    goal_cm : float
        The print.

    Returns
    -------
    str
        Both shares with their ranges, and whether they contradict each other.
    """
    held, count = frames
    low, high = percent_ends(held_share.low, held_share.high)
    if shares_meet(foretold, held_share):
        said = "nothing in so many frames speaks against the plan"
    elif held_share.value > foretold.value:
        said = "more than a plan says"
    else:
        said = "fewer than a plan says"
    return (
        f"A plan would have said that {_percent(foretold)} of these frames hold "
        f"{goal_cm:g}{THIN}cm; {held} of {count} did "
        f"({low}–{high}{THIN}% of such frames would): {said}."
    )


def _percent(share: Measured) -> str:
    low, high = percent_ends(share.low, share.high)
    return f"{share_percent(share.value)} ({low}–{high})"
