"""One frame without another of its view: what the chart, a light, or its darkest place tells."""

from dataclasses import replace

import numpy as np

from eyeplane.imaging import Picture
from eyeplane.kit.glass_chart import ChartGlass, more_than_then, read_chart_glass
from eyeplane.kit.glass_lamp import LampFound, most_veil, read_lamp
from eyeplane.kit.glass_light import FrameLight
from eyeplane.kit.glass_zones import place_words
from eyeplane.records import Measured
from eyeplane.records.kit_glass import GlassResult, GlassSmudge

CLEAR_SHARE = 0.015  # at most so much of a veil is clear glass; from memory of good lenses, 1-3 %
CLEAR_HALO = 0.02  # the same of a halo
ALL_CLIPPED = 0.6  # share of the frame whose light is not known
MORE_SHARE = 0.006  # of the frame's light: more than in the record, and worth telling
MORE_RATIO = 1.5  # a halo over that of the record
SURE_RATIO = 1.8  # upper end of a halo over the record's, up to which it is the same


def alone(
    begun: GlassResult,
    picture: Picture,
    light: FrameLight,
    rng: np.random.Generator,
    *,
    linear: bool,
) -> GlassResult:
    """Return what one frame tells by itself, or against the kit's record.

    Parameters
    ----------
    begun : GlassResult
        With the frame in it.
    picture : Picture
        The frame.
    light : FrameLight
        The same, small.
    rng : Generator
        For intervals.
    linear : bool
        Whether the file holds linear light.

    Returns
    -------
    GlassResult
        A single frame gives upper ends: what is dark may not be black, and what glows may be a
        wall. Only against the record of the same chart or light can more be told.
    """
    if light.clipped_share > ALL_CLIPPED:
        part = round(100 * light.clipped_share)
        return replace(
            begun, reasons=(f"{part} % of the frame is clipped, so that no light is known",)
        )
    chart = read_chart_glass(picture, light, linear=linear)
    if chart is not None:
        return _by_chart(begun, chart)
    most = most_veil(light, linear=linear)
    lamp = read_lamp(light, rng)
    if lamp is not None:
        return _by_lamp(begun, lamp, most)
    if most is None:
        return replace(begun, reasons=(_nothing_dark(light),))
    clear = most <= CLEAR_SHARE
    return replace(
        begun,
        way="dark",
        verdict="clear" if clear else "cannot tell",
        veil_most_share=most,
        reasons=() if clear else ("what is darkest in the frame may simply not be black",),
    )


def _nothing_dark(light: FrameLight) -> str:
    if float(np.quantile(light.luma, 0.99)) < 0.15:
        return "nothing in the frame is bright, so that no light could be spread"
    return "nothing in the frame is dark beside what is bright, so that a veil would not show"


def _by_chart(begun: GlassResult, chart: ChartGlass) -> GlassResult:
    smudges = _chart_smudges(chart)
    now = replace(
        begun,
        way="chart",
        columns=chart.columns,
        rows=chart.rows,
        zones=chart.zones,
        veil_most_share=chart.most_share,
        ink_ratio=chart.ratio,
        smudges=smudges,
    )
    then = None if begun.kept is None else begun.kept.ink_ratio
    more = None if then is None else more_than_then(chart, then)
    if more is not None:
        now = replace(now, veil_share=more)
    if smudges:
        return replace(now, verdict="smudge")
    if more is not None:
        if more.value >= MORE_SHARE and more.low > 0:
            return replace(now, verdict="veil")
        if more.high <= CLEAR_SHARE:
            return replace(now, verdict="clear")
        reason = (
            "the squares are a little lighter than in the record: another light on the print or "
            "another picture style does that as well"
        )
        return replace(now, reasons=(reason,))
    if chart.low_share > MORE_SHARE:  # lighter than any ink: even so a style may have lifted it
        least = Measured(
            value=(chart.low_share + chart.most_share) / 2,
            low=chart.low_share,
            high=chart.most_share,
        )
        return replace(now, verdict="veil", veil_share=least)
    clear = chart.most_share <= CLEAR_SHARE
    reason = "how black the ink of your print is decides, and there is no record of it yet"
    if then is not None:
        reason = (
            "the squares are blacker than in the record: another print, light or picture style, "
            "or the glass was not clean then"
        )
    return replace(
        now,
        verdict="clear" if clear else "cannot tell",
        reasons=() if clear else (reason,),
    )


def _chart_smudges(chart: ChartGlass) -> tuple[GlassSmudge, ...]:
    found = []
    for number, zone in enumerate(chart.zones):
        if not zone.smudged or zone.loss_share is None:
            continue
        row, column = divmod(number, chart.columns)
        at = ((column + 0.5) / chart.columns, (row + 0.5) / chart.rows)
        found.append(
            GlassSmudge(
                place=place_words(at), at_share=at, zones=(number,), loss_share=zone.loss_share
            )
        )
    return tuple(sorted(found, key=lambda one: -one.loss_share.value))


def _by_lamp(begun: GlassResult, lamp: LampFound, most: float | None) -> GlassResult:
    now = replace(
        begun,
        way="lamp",
        halo=lamp.halo,
        streak=lamp.streak,
        veil_most_share=most,
        at_most=True,
    )
    if lamp.streak is not None:
        return replace(now, verdict="smudge")
    share, then = lamp.halo.share, None if begun.kept is None else begun.kept.halo_share
    if share is not None and then is not None and then.high < SURE_RATIO * then.value:
        if share.low > then.high and share.value > MORE_RATIO * then.value:
            return replace(now, verdict="halo")
        if share.high < SURE_RATIO * then.value:
            return replace(now, verdict="clear")
    if share is not None and share.high <= CLEAR_HALO and (most is None or most <= CLEAR_SHARE):
        return replace(now, verdict="clear")
    if lamp.clipped:
        reason = "the light itself is clipped, so that its halo is no share of anything known"
    elif share is not None and share.high <= CLEAR_HALO:
        reason = "what is darkest in the frame may simply not be black"
    else:
        reason = "a wall that the light shines on glows as a halo does"
    return replace(now, reasons=(reason,))
