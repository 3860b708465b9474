"""`eyeplane plan against`: a plan held against the frames of a sitting that was measured."""

import json
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from eyeplane.asked.plan_taught import learned_texts
from eyeplane.asked.targets import check_apart, check_target, write_text
from eyeplane.asked.typed import WhoGiven, read_who
from eyeplane.asked.units import stop_count_ev
from eyeplane.cli.plan_learned import sitting_of
from eyeplane.deliver import plain_text
from eyeplane.errors import InputError
from eyeplane.records import PlanHand, PlanSitter, Viewing, plain_measured
from eyeplane.sitting import Foretold, foretell, learn_from

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """What is asked.

    Attributes
    ----------
    paths : tuple of Path
        Folders and frames.
    print_cm : float or None
        Promised print; None: the standard one.
    viewing_cm : float
        The viewer's distance.
    who : WhoGiven or None
        Who sat; None: an adult.
    tripod : bool
        Whether the camera stood on one.
    stabiliser_stops : float
        Of a stabiliser that was on.
    store, json_to : Path or None
        Where measurements are kept; file for the numbers, "-" for the screen.
    """

    paths: tuple[Path, ...]
    print_cm: float | None = None
    viewing_cm: float = 50.0
    who: WhoGiven | None = None
    tripod: bool = False
    stabiliser_stops: float = 0.0
    store: Path | None = None
    json_to: Path | None = None


def against_of(given: Mapping[str, Any]) -> Against:
    """Return what is asked, from the options as click read them.

    Parameters
    ----------
    given : mapping of str to object
        By name.

    Returns
    -------
    Against
        With its words read.

    Raises
    ------
    InputError
        If who sat, or the stabiliser's stops, cannot be read.
    """
    return Against(
        paths=tuple(given["paths"]),
        print_cm=given["print_cm"],
        viewing_cm=given["viewing_cm"],
        who=_read("--who", read_who, given["who"]),
        tripod=given["tripod"],
        stabiliser_stops=_read("--stabiliser", stop_count_ev, given["stabiliser"]) or 0.0,
        store=given["store"],
        json_to=given["json_to"],
    )


def _read(option: str, read: Callable[[str], T], text: str | None) -> T | None:
    if text is None:
        return None
    try:
        return read(text)
    except ValueError as error:
        what, _, hint = str(error).partition(": ")
        raise InputError(what, where=option, hint=hint[:1].upper() + hint[1:]) from error


def against_command(asked: Against) -> int:
    """Hold a plan against a sitting, and show how it did.

    Parameters
    ----------
    asked : Against
        What is asked.

    Returns
    -------
    int
        Exit status 0.

    Raises
    ------
    InputError
        If nothing there can be used or written, or not one frame tells.
    StoreError
        If the store cannot be used.
    """
    to_screen = asked.json_to is not None and str(asked.json_to) == "-"
    if asked.json_to is not None and not to_screen:
        check_target(asked.json_to, "--json")
    if asked.store is not None:
        check_target(asked.store, "--store")
    check_apart({"--store": asked.store, "--json": asked.json_to})
    viewing = Viewing(distance_cm=asked.viewing_cm, print_cm=asked.print_cm)
    sitting = sitting_of(asked.paths, viewing, asked.store)
    who = asked.who or WhoGiven(age_years=None)
    mood: Any = who.mood or None
    found = foretell(
        sitting,
        sitter=PlanSitter(age_years=who.age_years, mood=mood),
        hand=PlanHand(support="tripod" if asked.tripod else "hand"),
        stabiliser_stops=asked.stabiliser_stops,
    )
    if found is None:
        raise InputError(
            "not one frame there can be held against a plan",
            where=", ".join(plain_text(str(path)) for path in asked.paths),
            hint="It needs frames of one sitter whose files tell aperture, time, ISO and focal "
            "length",
        )
    texts = learned_texts(learn_from(sitting.frames))
    told = json.dumps(_plain(sitting.name, found, texts), indent=1, allow_nan=False) + "\n"
    sys.stdout.write(told if to_screen else _said(sitting.name, found, texts, asked.paths))
    if asked.json_to is not None and not to_screen:
        write_text(asked.json_to, told)
    return 0


def _plain(name: str, found: Foretold, texts: dict[str, str]) -> dict[str, Any]:
    return {
        "format_version": 1,
        "sitting": name,
        "frames": found.frames,
        "left_out": found.left_out,
        "foretold_share": plain_measured(found.foretold_share, 4),
        "held": found.held,
        "held_share": plain_measured(found.held_share, 4),
        "agrees": found.agrees,
        "text": found.text,
        "learned": texts,
    }


def _said(name: str, found: Foretold, texts: dict[str, str], paths: Sequence[Path]) -> str:
    lines = [f"{plain_text(name)}: {found.text}"]
    if found.left_out:
        verb = "frame tells" if found.left_out == 1 else "frames tell"
        lines.append(f"{found.left_out} {verb} nothing of a plan: groups, or settings not written.")
    if texts:
        folder = plain_text(str(paths[0]))
        lines.append(
            f"What it teaches goes into the next plan with --learn-from {folder}: "
            + ", ".join(f"--{option} '{text}'" for option, text in texts.items())
            + "."
        )
    return "\n".join(lines) + "\n"
