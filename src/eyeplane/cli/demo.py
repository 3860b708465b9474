"""`eyeplane demo`: the sitting that comes with the package."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from importlib.resources import as_file, files
from pathlib import Path

import click

from eyeplane.cli.measure import status_of
from eyeplane.cli.progress import progress_bar
from eyeplane.cli.table import print_sitting
from eyeplane.deliver import plain_text, write_report
from eyeplane.errors import InputError
from eyeplane.records import MeasureSettings, Viewing
from eyeplane.sitting import RunOptions, measure_sitting

STORE_NAME = "readings.sqlite3"


@contextmanager
def demo_folder() -> Iterator[Path]:
    """Yield the folder of the shipped sitting; it is there as long as the context lasts.

    Yields
    ------
    Path
        Frames, and about.json with "client", "story" and "print_cm".
    """
    with as_file(files("eyeplane.cli") / "demo_sitting") as folder:
        yield folder


def demo_command(out: Path) -> int:
    """Measure the shipped sitting, print its table and write its report.

    Parameters
    ----------
    out : Path
        Folder for the report and a fresh store.

    Returns
    -------
    int
        Exit status.

    Raises
    ------
    InputError
        If the folder cannot be made.
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
        for end in ("", "-wal", "-shm"):  # the demo always measures, so its store starts empty
            (out / (STORE_NAME + end)).unlink(missing_ok=True)
    except OSError as error:
        raise InputError(
            f"the folder cannot be used ({error.strerror or error})",
            where=plain_text(str(out)),
            hint="Name another folder with --out",
        ) from error
    report = out / "report.html"
    with demo_folder() as folder:
        about = json.loads((folder / "about.json").read_text("utf-8"))
        with progress_bar() as heard:
            sitting = measure_sitting(
                [folder],
                settings=MeasureSettings(),
                viewing=Viewing(print_cm=float(about["print_cm"])),
                options=RunOptions(store_path=out / STORE_NAME, name=about["client"]),
                progress=heard,
            )
        click.echo(f"{about['story']}\n")
        print_sitting(sitting)
        write_report(sitting, report, note=about["story"])
    click.echo(f"\nThe report: {plain_text(str(report))}")
    return status_of(sitting)
