"""A plan held against what came out, part by part: what it says costs the print, and what did."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from eyeplane.learn.recency import effective_weights
from eyeplane.plan.draws import BELIEF_FRAMES, FrameDraws, first_frames, plan_draws
from eyeplane.plan.frames import FrameBlurs, frame_blurs, frame_costs
from eyeplane.plan.hold import HoldLimits
from eyeplane.plan.middle import reaches_of
from eyeplane.plan.scene import Scene, Settings
from eyeplane.plan.share import limits_as_believed, limits_of
from eyeplane.records import Measured, PlanHand, PlanSitter, Sitting, SittingFrame
from eyeplane.records.foretold import ForetoldPart, ForetoldParts, PartName
from eyeplane.records.said import THIN, share_percent
from eyeplane.sitting.bursts import holds_goal
from eyeplane.sitting.foretold import asked_of, foretold_words, telling, wilson

FloatArray = NDArray[np.float64]

NAMES: tuple[PartName, ...] = ("holds", "focus", "motion", "rest")
CAUSES: dict[str, PartName] = {
    "focus": "focus",
    "depth": "focus",
    "shake": "motion",
    "sitter": "motion",
    "motion": "motion",
    "glass": "rest",
    "pixels": "rest",
    "noise": "rest",
}
WORDS = {
    "focus": "Missed focus",
    "motion": "Motion",
    "rest": "What is neither focus nor motion",
}
MOST_REST = 0.5  # foretold share of neither from which parts are not compared: our own, no source
MOST_ASKED = 40  # frames: settings of a sitting differ little, and each takes some 25 ms
REACH_FRAMES = 48  # drawn for each frame's reach: pooled over a sitting that is plenty


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    """Frames drawn for one frame of the sitting."""

    shares: FloatArray  # (4,) of NAMES
    believed: FloatArray  # (sets, 4)
    reach_cm: FloatArray


def foretell_parts(
    sitting: Sitting,
    *,
    sitter: PlanSitter | None = None,
    hand: PlanHand | None = None,
    stabiliser_stops: float = 0.0,
) -> ForetoldParts | None:
    """Return what a plan would have said costs the print, beside what did.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.
    sitter, hand : records, optional
        Who sat and who photographed; an adult and a hand-held camera unless said.
    stabiliser_stops : float
        Stops by which a stabiliser slows the turning of the camera.

    Returns
    -------
    ForetoldParts or None
        None if not one frame tells.

    Notes
    -----
    Of the frames drawn for each frame's own settings those that do not hold are counted by what
    costs more: the disc of missed focus or the line of hand and sitter; where not even a still eye
    in exact focus holds, it is neither. A measured frame counts by its cause; where most frames
    are foretold to be neither, the two are not compared. Usual numbers stand in for what nobody
    said, as in a first plan.
    """
    told = [frame for frame in sitting.frames if telling(frame)]
    if not told:
        return None
    asked = asked_of(sitting, sitter=sitter, hand=hand, stabiliser_stops=stabiliser_stops)
    draws = first_frames(plan_draws(), BELIEF_FRAMES)
    drawn = [_drawn(*asked(frame), draws) for frame in _picked(told)]
    shares = np.mean([one.shares for one in drawn], axis=0)
    ends = np.quantile(np.mean([one.believed for one in drawn], axis=0), (0.05, 0.95), axis=0)
    found = [_found(frame, sitting.goal_cm) for frame in told]
    weight = float(effective_weights([frame.burst or 0 for frame in told]).sum())
    parts = tuple(
        ForetoldPart(
            name=name,
            foretold_share=_measured(float(shares[k]), float(ends[0, k]), float(ends[1, k])),
            found=found.count(name),
            found_share=_found_share(found, name, weight),
        )
        for k, name in enumerate(NAMES)
    )
    untold = ForetoldPart(
        name="untold",
        foretold_share=None,
        found=found.count("untold"),
        found_share=wilson(found.count("untold"), len(found), weight=weight),
    )
    return ForetoldParts(
        frames=len(told),
        asked=len(drawn),
        parts=(*parts, untold) if untold.found else parts,
        foretold_reach_cm=_middle(np.concatenate([one.reach_cm for one in drawn])),
        found_reach_cm=_middle(np.array([_reach_cm(frame) for frame in told])),
        sentence=_sentence(parts[0], sitting.goal_cm),
        text=_text(parts, found, sitting.goal_cm),
    )


def _text(parts: Sequence[ForetoldPart], found: Sequence[PartName], goal_cm: float) -> str:
    """Return how the plan did: as a whole, and which part of it is off by most."""
    holds, told = parts[0], parts[0].foretold_share
    if told is None:
        raise ValueError(holds.name)
    whole = foretold_words(told, holds.found_share, (holds.found, len(found)), goal_cm=goal_cm)
    rest = parts[NAMES.index("rest")].foretold_share
    if rest is not None and rest.value > MOST_REST:
        # A measured frame counts by what costs it most, also where it would not have held without.
        return (
            f"{whole} In {share_percent(rest.value)} of them, the plan says, not even a still eye "
            f"in exact focus would hold {goal_cm:g}{THIN}cm, for the pixels, the noise or the "
            "glass: what focus and motion cost beside that a plan for this print does not say. "
            "Compare for a smaller print."
        )
    off = [part for part in parts[1:] if not part.agrees]
    if not off:
        return whole
    most = max(off, key=_apart)
    told = most.foretold_share or most.found_share
    more = most.found_share.value > told.value
    return (
        f"{whole} {WORDS[most.name]} costs {'more' if more else 'fewer'} frames than foretold: "
        f"{share_percent(most.found_share.value)} instead of {share_percent(told.value)}."
    )


def _sentence(holds: ForetoldPart, goal_cm: float) -> str:
    told, found = holds.foretold_share or holds.found_share, holds.found_share
    said = "Much as a plan says"
    if not holds.agrees:
        more = found.value > told.value
        said = "More hold than a plan says" if more else "Fewer hold than a plan says"
    return (
        f"{said}: {share_percent(found.value)} of frames hold {goal_cm:g}{THIN}cm, "
        f"{share_percent(told.value)} foretold."
    )


def _apart(part: ForetoldPart) -> float:
    told = part.foretold_share or part.found_share
    return abs(part.found_share.value - told.value)


def _picked(frames: Sequence[SittingFrame]) -> list[SittingFrame]:
    """Return frames evenly picked out of many."""
    if len(frames) <= MOST_ASKED:
        return list(frames)
    step = len(frames) / MOST_ASKED
    return [frames[int(k * step)] for k in range(MOST_ASKED)]


def _found(frame: SittingFrame, goal_cm: float) -> PartName:
    if holds_goal(frame.answer, goal_cm):
        return "holds"
    return CAUSES.get(frame.answer.cause, "untold")


def _found_share(found: Sequence[PartName], name: PartName, weight: float) -> Measured:
    """Return the share of a part; what is not told may be of any that does not hold."""
    count, every = found.count(name), len(found)
    share = wilson(count, every, weight=weight)
    if name == "holds":
        return share
    most = wilson(count + found.count("untold"), every, weight=weight)
    return replace(share, high=most.high)


def _drawn(scene: Scene, setting: Settings, draws: FrameDraws) -> _Drawn:
    eye_mm = scene.eyes_mm[0]
    blurs = frame_blurs(scene, eye_mm, draws)
    glass = limits_as_believed(scene, setting, draws.glass_z)
    believed = [
        _shares(glass.column(k), setting, frame_blurs(scene, eye_mm, draws, belief))
        for k, belief in enumerate(draws.beliefs_z)
    ]
    few = slice(REACH_FRAMES)
    reach = reaches_of(
        scene,
        setting,
        disc_um=blurs.disc_um[:1, few] / setting.f_number[:, None],
        line_um=blurs.line_um_per_s[:1, few] * setting.motion_s[:, None],
    )
    return _Drawn(
        shares=_shares(limits_of(scene, setting), setting, blurs),
        believed=np.array(believed),
        reach_cm=np.ravel(reach),
    )


def _shares(limits: HoldLimits, setting: Settings, blurs: FrameBlurs) -> FloatArray:
    """Return the shares of frames that hold, or are lost to focus, to motion, to neither."""
    none = np.zeros_like(blurs.disc_um)
    costs = np.ravel(frame_costs(limits, setting, blurs))
    disc = np.ravel(frame_costs(limits, setting, replace(blurs, line_um_per_s=none)))
    line = np.ravel(frame_costs(limits, setting, replace(blurs, disc_um=none)))
    lost = np.isinf(costs)
    soft = (costs > 1.0) & ~lost
    kinds = (costs <= 1.0, soft & (disc >= line), soft & (disc < line), lost)
    return np.array([kind.mean() for kind in kinds])


def _reach_cm(frame: SittingFrame) -> float:
    reach = frame.answer.reach_cm
    return float("nan") if reach is None else reach.value


def _middle(reach_cm: FloatArray) -> Measured:
    low, value, high = (float(q) for q in np.nanquantile(reach_cm, (0.05, 0.5, 0.95)))
    return Measured(value=value, low=low, high=high)


def _measured(value: float, low: float, high: float) -> Measured:
    return Measured(value=value, low=min(low, value), high=max(high, value))
