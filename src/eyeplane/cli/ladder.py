"""`eyeplane ladder`: frames measured, limits told, and kept for plans if asked."""

import datetime
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from eyeplane.asked.names import check_name
from eyeplane.asked.plan_memory import open_memory
from eyeplane.cli.check_options import take_outputs
from eyeplane.cli.check_show import show_check
from eyeplane.cli.kits import kit_file, kit_pitches_um
from eyeplane.cli.progress import progress_bar
from eyeplane.deliver import plain_text
from eyeplane.deliver.ladder_content import ladder_content
from eyeplane.records import STANDARD_PRINT_CM, Measured, MeasureSettings
from eyeplane.records.ladder import LadderResult
from eyeplane.records.lessons import SittingLabels, Stabiliser
from eyeplane.sitting import RunOptions
from eyeplane.sitting.ladder import measure_ladder
from eyeplane.sitting.ladder_asked import LadderAsked

STABILISERS: dict[str, Stabiliser] = {"on": "on", "off": "off", "tripod": "tripod"}
REPLACED = {"shake": ("steadiness",), "sitter-speed": ()}  # options that contradict one another


def ladder_command(*, paths: Sequence[Path], **given: Any) -> int:  # noqa: ANN401  each its own
    """Measure a ladder and show it as asked.

    Parameters
    ----------
    paths : sequence of Path
        Folders and frames.
    **given : object
        The options, as click read them.

    Returns
    -------
    int
        Exit status 0.

    Raises
    ------
    InputError
        If a path, a name, a file to write to or the frames cannot be used.
    StoreError
        If the store cannot be used.
    """
    outputs = take_outputs(given)
    names = {"kit": outputs.kit, "client": given["client"]}
    check_name(given["client"], "--client")
    for said in ("sitter", "stabiliser"):
        check_name(given[said] or None, f"--{said}")
    asked = LadderAsked(
        prints_cm=tuple(dict.fromkeys(given["prints_cm"])) or (STANDARD_PRINT_CM,),
        viewing_cm=given["viewing_cm"],
        wanted_share=given["share"],
        stabiliser=given["stabiliser"].strip(),
        sitter=given["sitter"].strip(),
    )
    with progress_bar() as heard:
        result = measure_ladder(
            paths,
            asked=asked,
            settings=MeasureSettings(kit_pitch_um=kit_pitches_um(kit_file())),
            options=RunOptions(
                store_path=outputs.store,
                workers=given["workers"],
                again=given["again"],
                labels=_labels(asked, outputs.kit),
            ),
            progress=heard,
        )
    kept = remember_ladder(result, names, outputs.store, today=_today())
    content = ladder_content(result)
    content = replace(content, notes=(*content.notes, *kept))
    return show_check("ladder", result, content, outputs)


def ladder_texts(result: LadderResult) -> dict[str, dict[str, str]]:
    """Return what a ladder teaches, as it could have been typed for a plan.

    Parameters
    ----------
    result : LadderResult
        A ladder.

    Returns
    -------
    dict
        Texts of options, by "kit" and "client"; only what was told.
    """
    texts: dict[str, dict[str, str]] = {"kit": {}, "client": {}}
    for part in result.parts:
        held = _stabiliser(result.stabiliser) != "tripod"  # else nobody's hand is learned
        if part.typical_deg_per_s is not None and held:
            texts["kit"]["shake"] = _text(part.typical_deg_per_s, "deg/s")
        if part.typical_mm_per_s is not None:
            texts["client"]["sitter-speed"] = _text(part.typical_mm_per_s, "mm/s")
    return texts


def remember_ladder(
    result: LadderResult,
    names: dict[str, str | None],
    store: Path | None,
    *,
    today: datetime.date,
) -> tuple[str, ...]:
    """Keep what a ladder teaches under the names that were given.

    Parameters
    ----------
    result : LadderResult
        A ladder.
    names : dict
        Names of "kit" and "client", or None.
    store : Path or None
        The store; None: the photographer's own.
    today : date
        The day.

    Returns
    -------
    tuple of str
        What was kept, or why nothing was: a sentence for each name.

    Raises
    ------
    StoreError
        If the store cannot be written.
    """
    said = []
    found = ladder_texts(result)
    for kind, name in names.items():
        if name is None:
            continue
        texts = found[kind]
        if not texts:
            whose = "your hand" if kind == "kit" else "the sitter"
            said.append(
                f"Nothing was remembered for the {kind} {plain_text(name.strip())}: these frames "
                f"do not bound how fast {whose} moves."
            )
            continue
        with open_memory(store) as memory:
            recalled = memory.recall(kind, name)  # type: ignore[arg-type]  # one of the two
            old = dict(recalled.typed) if recalled is not None else {}
            gone = [one for key in texts for one in REPLACED[key] if one in old]
            if gone:
                memory.forget(kind, name, gone)  # type: ignore[arg-type]  # one of the two
            memory.remember(kind, name, texts, today=today)  # type: ignore[arg-type]  # likewise
        listed = ", ".join(f"--{key} '{text}'" for key, text in texts.items())
        before = [f"--{one}" for one in gone]
        before += [
            f"--{k} '{plain_text(old[k])}'" for k in texts if old.get(k, texts[k]) != texts[k]
        ]
        instead = f", instead of {', '.join(before)}" if before else ""
        said.append(
            f"Remembered for the {kind} {plain_text(name.strip())}: {listed}{instead}. Plans with "
            f"--{kind} use it{_as_set(result) if kind == 'kit' else ''}."
        )
    return tuple(said)


def _as_set(result: LadderResult) -> str:
    """Return how the stabiliser was, since a kit has one shake only; empty if nobody said."""
    now = _stabiliser(result.stabiliser)
    if now not in ("on", "off"):
        return ""
    other = "off" if now == "on" else "on"
    return f", as it was with the stabiliser {now}: keep one with it {other} under another name"


def _text(measured: Measured, unit: str) -> str:
    return f"{measured.value:.3g} {unit} ({measured.low:.3g} to {measured.high:.3g})"


def _labels(asked: LadderAsked, kit: str | None) -> SittingLabels:
    """Return what was said of the sitting, for what its frames teach besides."""
    return SittingLabels(
        sitter=asked.sitter, stabiliser=_stabiliser(asked.stabiliser), kit=(kit or "").strip()
    )


def _stabiliser(words: str) -> Stabiliser:
    return STABILISERS.get(words.lower().partition(" ")[0].strip(",;:"), "")


def _today() -> datetime.date:
    return datetime.datetime.now().astimezone().date()
