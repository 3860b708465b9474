"""From two kits as they were named to the answer: numbers, charts or frames."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from eyeplane.asked.kits import kit_file, kit_pitches_um
from eyeplane.asked.plan_given import gather
from eyeplane.asked.plan_request import sitter_request
from eyeplane.asked.plan_scene_options import TABLES
from eyeplane.asked.plan_values import Typed
from eyeplane.cli.kit_against_sides import NamedSide
from eyeplane.cli.plan_learned import sitting_of
from eyeplane.deliver import plain_text
from eyeplane.errors import InputError
from eyeplane.kit.against import Asked, compare_kits
from eyeplane.kit.against_chart import shows_chart, side_of_chart
from eyeplane.kit.against_sides import KitSide
from eyeplane.records import MeasureSettings, Sitting, Viewing
from eyeplane.records.kit_against import AgainstHabit, AgainstResult
from eyeplane.records.kit_chart import ChartResult
from eyeplane.sitting.against import FramesAsked, compare_frames
from eyeplane.sitting.against_frames import KitFrames, kit_frames, kit_of_frames
from eyeplane.sitting.against_habit import frames_habit, planned_habit
from eyeplane.sitting.scan import scan

SEED = 20_261_126  # of every comparison, so that the same question has the same answer
MOST_OUT = 4  # frames left out that are named
LOOKED_AT = 3  # frames of a folder that are looked at for a chart
KNOWN = ("focus-bias", "focus-spread", "shake", "steadiness")  # what tells of a habit


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What one of the two turned out to be.

    Attributes
    ----------
    named : NamedSide
        As it was typed.
    side : KitSide or None
        The kit, described or by its chart.
    frames : KitFrames or None
        Its frames of a sitter.
    sitting : Sitting or None
        The same, answered.
    notes : tuple of str
        What limits what it told.
    """

    named: NamedSide
    side: KitSide | None = None
    frames: KitFrames | None = None
    sitting: Sitting | None = None
    notes: tuple[str, ...] = ()


def compared(
    pair: tuple[NamedSide, NamedSide],
    asked: Asked,
    typed: Mapping[str, Typed],
    store: Path | None,
) -> tuple[AgainstResult, tuple[str, ...]]:
    """Return one kit held against another.

    Parameters
    ----------
    pair : tuple of NamedSide
        A and B.
    asked : Asked
        How they are used, who looks, what is sold.
    typed : mapping of str to Typed
        Light, shutter time and ISO as typed, for what a habit costs.
    store : Path or None
        The store; None: the photographer's own.

    Returns
    -------
    result : AgainstResult
        The answer.
    notes : tuple of str
        What had to be left out for it.

    Raises
    ------
    InputError
        If the two cannot be compared.
    StoreError
        If the store cannot be used.
    """
    generator = np.random.default_rng(SEED)
    a, b = (_found(one, store) for one in pair)
    if a.frames is not None and b.frames is not None and a.sitting is not None:
        return _by_frames((a.frames, b.frames), a.sitting, asked, generator), ()
    sides: list[KitSide] = []
    notes = [*a.notes, *b.notes]
    for one in (a, b):
        letter = one.named.letter
        sides.append(one.side or kit_of_frames(one.frames, letter))
        if one.side is None:
            notes.append(
                f"The other kit has no frames of a sitter, so of {letter}'s only pixels, sensor "
                "and lens are taken, as their files tell them; how sharp they came out is not."
            )
    result = compare_kits(sides[0], sides[1], asked, generator)
    habit = _planned(a.named, sides[1], result, typed)
    return replace(result, habit=habit), tuple(notes)


def _by_frames(
    frames: tuple[KitFrames, KitFrames],
    sitting: Sitting,
    asked: Asked,
    generator: np.random.Generator,
) -> AgainstResult:
    if asked.f_numbers:
        raise InputError(
            "frames were shot at the apertures they were shot at",
            where="--f-number",
            hint="Leave it out, or put only frames of that aperture into the folders",
        )
    wished = FramesAsked(viewing_cm=asked.viewing_cm, sold_cm=asked.sold_cm)
    result = compare_frames(*frames, wished, generator)
    return replace(result, habit=frames_habit(sitting, result.ways[0]))


def _found(one: NamedSide, store: Path | None) -> Found:
    if one.path is None:
        return Found(named=one, side=one.side)
    settings = MeasureSettings(kit_pitch_um=kit_pitches_um(kit_file()))
    paths = [Path(frame.path) for frame in scan((one.path,)).frames]
    if any(shows_chart(path, settings) for path in paths[:LOOKED_AT]):
        from eyeplane.kit.chart import ChartAsked, read_chart  # noqa: PLC0415  loads much

        chart = read_chart(paths, ChartAsked(settings=settings))
        name = chart.kit or one.text
        side = side_of_chart(chart, name, one.letter)
        return Found(named=one, side=side, notes=_chart_notes(chart, one.letter))
    sitting = sitting_of((one.path,), Viewing(), store)
    frames = kit_frames(sitting, one.letter, sitting.name)
    return Found(named=one, frames=frames, sitting=sitting)


def _chart_notes(chart: ChartResult, letter: str) -> tuple[str, ...]:
    notes = [
        f"Of {letter}'s chart left out: {plain_text(one)}" for one in chart.left_out[:MOST_OUT]
    ]
    if any(one.sharpened for one in chart.apertures):
        notes.append(
            f"{letter}'s chart was sharpened in the camera, which makes its lens look finer than "
            "it is: shoot both charts RAW, or with sharpening off."
        )
    return tuple(notes)


def _planned(
    a: NamedSide, b: KitSide, result: AgainstResult, typed: Mapping[str, Typed]
) -> AgainstHabit | None:
    """Return what A's photographer would gain by a habit, where something is known of it."""
    first = result.ways[0]
    if a.given is None or first.a_f_number is None or first.b_f_number is None:
        return None
    if not any(a.given.was_said(name) for name in KNOWN):
        return None
    told = {
        option.key: a.given.values[option.name]
        for option in a.given.table
        if a.given.was_said(option.name)
    }
    viewing = {} if result.viewing_cm is None else {"viewing_cm": _cm(result.viewing_cm)}
    given = gather(TABLES["sitter"], {**told, **typed, **viewing}, {})
    f_numbers = (first.a_f_number, first.b_f_number)
    return planned_habit(sitter_request(given), b.kit, f_numbers)


def _cm(viewing_cm: float) -> Typed:
    return Typed(text=f"{viewing_cm:g}cm", value=viewing_cm)
