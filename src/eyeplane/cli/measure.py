"""`eyeplane measure`: from what was typed to table, JSON and report."""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

import click

from eyeplane.asked.kits import kit_file, kit_pitches_um
from eyeplane.asked.targets import check_apart, check_target, write_text
from eyeplane.cli.progress import progress_bar
from eyeplane.cli.table import print_sitting
from eyeplane.deliver import plain_text, write_report
from eyeplane.errors import InputError
from eyeplane.records import MeasureSettings, Sitting, Viewing
from eyeplane.records.lessons import SittingLabels
from eyeplane.sitting import RunOptions, measure_sitting, sitting_json


def measure_command(  # noqa: PLR0913  one for each option
    *,
    paths: Sequence[Path],
    at: Sequence[tuple[float, float]],
    print_cm: float | None,
    viewing_cm: float | str,
    workers: int | None,
    store: Path | None,
    json_to: Path | None,
    report: Path | None,
    again: bool,
    why: bool,
    labels: Mapping[str, str] | None = None,
    without_learning: bool = False,
) -> int:
    """Measure a sitting and show it as asked.

    Parameters
    ----------
    paths : sequence of Path
        Folders and frames.
    at : sequence of (float, float)
        Further places.
    print_cm : float or None
        Promised print.
    viewing_cm : float or "diagonal"
        Distance of the viewer.
    workers : int or None
        Frames at once; None for one a core.
    store : Path or None
        Where measurements are kept; None for the photographer's own data folder.
    json_to : Path or None
        File for the numbers, "-" for the screen.
    report : Path or None
        File for the report.
    again : bool
        Whether to measure all anew.
    why : bool
        Whether the table tells of each frame what stands behind its answer.
    labels : mapping of str to str or None
        What the photographer says of this sitting, by the names of `SittingLabels`.
    without_learning : bool
        Whether nothing is kept of what the frames teach.

    Returns
    -------
    int
        Exit status: 0, or 1 if not one frame could be read.

    Raises
    ------
    InputError
        If a path, the folder or a file to write to cannot be used.
    """
    to_screen = json_to is not None and str(json_to) == "-"
    for target, option in ((store, "--store"), (report, "--report"), (json_to, "--json")):
        if target is not None and not (option == "--json" and to_screen):
            check_target(target, option)
    check_apart({"--store": store, "--report": report, "--json": json_to})
    heard_later: list[str] = []
    with progress_bar() as heard:
        sitting = measure_sitting(
            paths,
            settings=MeasureSettings(spots_px=tuple(at), kit_pitch_um=kit_pitches_um(kit_file())),
            viewing=Viewing(
                distance_cm=None if isinstance(viewing_cm, str) else viewing_cm, print_cm=print_cm
            ),
            options=RunOptions(
                store_path=store,
                workers=workers,
                again=again,
                learns=not without_learning,
                labels=SittingLabels(**dict(labels or {})),  # type: ignore[arg-type]  # by click
                heard=heard_later.append,
            ),
            progress=heard,
        )
    for sentence in heard_later:
        click.echo(plain_text(sentence.rstrip(".")) + ".", err=True)
    check_found(sitting, paths)
    if to_screen:
        print(_json_text(sitting), end="")  # noqa: T201  this is the output asked for
    else:
        print_sitting(sitting, why=why)
    if json_to is not None and not to_screen:
        write_text(json_to, _json_text(sitting))
    if report is not None:
        write_report(sitting, report)
    return status_of(sitting)


def check_found(sitting: Sitting, paths: Sequence[Path]) -> None:
    """Refuse a sitting without frames.

    Parameters
    ----------
    sitting : Sitting
        As measured.
    paths : sequence of Path
        Where they were looked for.

    Raises
    ------
    InputError
        If there are none.
    """
    if not sitting.frames:
        raise InputError(
            "no frames were found there",
            where=", ".join(plain_text(str(path)) for path in paths),
            hint="Give a folder of JPEG, HEIC, TIFF, PNG or RAW files",
        )


def status_of(sitting: Sitting) -> int:
    """Return the exit status a sitting deserves.

    Parameters
    ----------
    sitting : Sitting
        As measured.

    Returns
    -------
    int
        1 if not one frame could be read, else 0.
    """
    return int(sitting.unreadable == len(sitting.frames))


def _json_text(sitting: Sitting) -> str:
    return json.dumps(sitting_json(sitting), indent=1, allow_nan=False) + "\n"
