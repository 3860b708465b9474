"""What a ladder teaches, kept: its result in the log, its speeds for plans."""

import datetime
from pathlib import Path

from eyeplane.asked.checks import keep_check
from eyeplane.asked.plan_memory import open_memory
from eyeplane.deliver import plain_text
from eyeplane.records import Measured
from eyeplane.records.ladder import LadderResult
from eyeplane.records.lessons import SittingLabels, Stabiliser
from eyeplane.sitting.ladder_asked import LadderAsked

STABILISERS: dict[str, Stabiliser] = {"on": "on", "off": "off", "tripod": "tripod"}
REPLACED = {"shake": ("steadiness",), "sitter-speed": ()}  # options that contradict one another
NO_KIT = "a kit without a name"  # of frames that tell neither body nor lens


def keep_ladder(result: LadderResult, kit: str | None, store: Path | None) -> int:
    """Keep a ladder's result in the log.

    Parameters
    ----------
    result : LadderResult
        A ladder.
    kit : str or None
        The photographer's own name; None: as the frames name it.
    store : Path or None
        The store; None: the photographer's own.

    Returns
    -------
    int
        By which the log has it.

    Raises
    ------
    StoreError
        If the store cannot be written.
    """
    now = datetime.datetime.now().astimezone()
    return keep_check("ladder", kit or result.kit or NO_KIT, now, result, store)


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


def ladder_labels(asked: LadderAsked, kit: str | None) -> SittingLabels:
    """Return what was said of a ladder's sitting, for what its frames teach besides.

    Parameters
    ----------
    asked : LadderAsked
        With its labels.
    kit : str or None
        The photographer's own name for it.

    Returns
    -------
    SittingLabels
        Empty where nothing was said.
    """
    return SittingLabels(
        sitter=asked.sitter, stabiliser=_stabiliser(asked.stabiliser), kit=(kit or "").strip()
    )


def _stabiliser(words: str) -> Stabiliser:
    return STABILISERS.get(words.lower().partition(" ")[0].strip(",;:"), "")
