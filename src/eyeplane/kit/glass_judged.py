"""From what two frames tell to an answer: is there a veil, a halo, a smudge, and what it costs."""

from dataclasses import replace
from typing import Literal

import numpy as np

from eyeplane.kit.glass_pair import MUCH_CHANGED, PairFound
from eyeplane.kit.glass_zones import ZoneLosses
from eyeplane.optics import SHARP, PointSpread, critical_px_per_deg
from eyeplane.records import Measured
from eyeplane.records.kit_glass import GlassResult, GlassVerdict

# Of 31 unchanged pairs none reaches these; see docs.
VEIL_SHARE, VEIL_SURE = 0.006, 0.003  # a veil worth telling, and the low end it needs
HALO_SHARE, HALO_SURE = 0.015, 0.005  # the same of a halo
LEAST_REACH_RATIO = 0.05  # less cannot be counted: nothing would look sharp
WHOLE_SHARP = 0.985  # perceived sharpness that no print passes


def judged_pair(begun: GlassResult, found: PairFound) -> GlassResult:
    """Return the answer that two frames give.

    Parameters
    ----------
    begun : GlassResult
        With the frames in it.
    found : PairFound
        What they tell.

    Returns
    -------
    GlassResult
        "cannot tell" where the view, the style or too much of it changed.
    """
    reasons = _doubts(found)
    halo = None if found.zones.focus_moved else found.halo
    verdict = "cannot tell" if reasons else _verdict(found)
    loss = None if reasons else typical_loss(found.zones)
    worse: Literal["now", "before", "neither"] = "before" if found.second_worse else "now"
    if verdict in {"clear", "cannot tell"}:
        worse = "neither"
    return replace(
        begun,
        verdict=verdict,
        worse=worse,
        columns=found.zones.columns,
        rows=found.zones.rows,
        zones=() if reasons else found.zones.zones,
        veil_share=None if reasons else found.veil,
        halo=None if reasons else halo,
        smudges=() if reasons else found.zones.smudges,
        loss_share=loss,
        reach_ratio=reach_left(_worst(found.zones, loss)) if verdict != "clear" else None,
        at_most=begun.clipped_share > 0.0005,
        exposure_ev=found.exposure_ev,
        focus_moved=found.zones.focus_moved,
        style_changed=found.style_changed,
        scene_changed_share=found.changed_share,
        reasons=reasons,
    )


def typical_loss(zones: ZoneLosses) -> Measured | None:
    """Return the contrast lost in the middle zone of all, by size of the loss.

    Parameters
    ----------
    zones : ZoneLosses
        By place.

    Returns
    -------
    Measured or None
        None where no zone tells.
    """
    told = sorted(
        (zone.loss_share for zone in zones.zones if zone.loss_share is not None),
        key=lambda loss: loss.value,
    )
    return told[len(told) // 2] if told else None


def reach_left(loss: Measured | None) -> Measured | None:
    """Return the reach with a loss of contrast over the reach without.

    Parameters
    ----------
    loss : Measured or None
        Share of the contrast that is lost, at all frequencies alike.

    Returns
    -------
    Measured or None
        For a frame that is sharp otherwise; None where nothing is lost, or where no print would
        look sharp any more.

    Notes
    -----
    Perceived sharpness is a mean of the contrast that arrives, so that a flat loss asks for
    sharpness / (1 − loss) of what is left. Raising the black point in the editor gives most of an
    even veil's contrast back, at the price of its noise.

    Examples
    --------
    >>> left = reach_left(Measured(value=0.05, low=0.05, high=0.05))
    >>> 0.8 < left.value < 1.0
    True
    """
    if loss is None or loss.value <= 0:
        return None
    ends = [_reach(max(one, 0.0)) for one in (loss.value, loss.low, loss.high)]
    if min(ends) < LEAST_REACH_RATIO:
        return None
    return Measured(value=ends[0], low=min(ends), high=max(ends))


def _reach(loss_share: float) -> float:
    wanted = SHARP / max(1 - loss_share, 1e-6)
    if wanted > WHOLE_SHARP:
        return 0.0
    whole, lost = (
        critical_px_per_deg(spread=PointSpread(), noise_contrast=0.0, threshold=one)
        for one in (SHARP, wanted)
    )
    return float(np.clip(whole / lost, 0.0, 1.0))


def _worst(zones: ZoneLosses, typical: Measured | None) -> Measured | None:
    return zones.smudges[0].loss_share if zones.smudges else typical


def _doubts(found: PairFound) -> tuple[str, ...]:
    reasons = []
    if found.style_changed:
        reasons.append(
            "the two frames have different tones, as two picture styles or two exposures of a "
            "contrasty one have, and a veil does much the same"
        )
    if found.relit and _verdict(found) == "veil":
        reasons.append(
            "the light in the view changed between the two frames: dark places are brighter in one "
            "and yet lost no contrast as they do under a veil"
        )
    if found.changed_share > MUCH_CHANGED:
        part = round(100 * found.changed_share)
        reasons.append(f"{part} % of the view shows something else in the two frames")
    return tuple(reasons)


def _verdict(found: PairFound) -> GlassVerdict:
    if found.zones.smudges:
        return "smudge"
    if found.veil.value >= VEIL_SHARE and found.veil.low >= VEIL_SURE:
        return "veil"
    share = found.halo.share
    if share is None or found.zones.focus_moved:
        return "clear"
    return "halo" if share.value >= HALO_SHARE and share.low >= HALO_SURE else "clear"
