"""`eyeplane demo`: the sitting that comes with the package."""

import json
import shlex
import shutil
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import click

from eyeplane.cli.measure import status_of
from eyeplane.cli.plain_page import Page
from eyeplane.cli.progress import progress_bar
from eyeplane.cli.table import print_sitting
from eyeplane.deliver import plain_text, write_card, write_report
from eyeplane.errors import InputError
from eyeplane.light import exposure_from_lux_ev
from eyeplane.plan import plan_sitter
from eyeplane.records import (
    MeasureSettings,
    PlanKit,
    PlanLight,
    PlanPrint,
    SitterRequest,
    Viewing,
)
from eyeplane.sitting import RunOptions, measure_sitting
from eyeplane.sitting.known import make_known

STORE_NAME = "readings.sqlite3"


@contextmanager
def demo_folder() -> Iterator[Path]:
    """Yield the folder of the shipped sitting; it is there as long as the context lasts.

    Yields
    ------
    Path
        Frames, and about.json with "client", "story", "print_cm" and what to plan "next".
    """
    with as_file(files("eyeplane.cli") / "demo_sitting") as folder:
        yield folder


def demo_command(out: Path) -> int:
    """Measure the shipped sitting, show its table, report and next plan, and how to open the pages.

    Parameters
    ----------
    out : Path
        Folder for the report, the plan and a fresh store.

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
    report, store = out / "report.html", out / STORE_NAME
    with demo_folder() as folder:
        about = json.loads((folder / "about.json").read_text("utf-8"))
        viewing = Viewing(print_cm=float(about["print_cm"]))
        with progress_bar() as heard:
            sitting = measure_sitting(
                [folder],
                settings=MeasureSettings(),
                viewing=viewing,
                options=RunOptions(store_path=store, name=about["client"], learns=False),
                progress=heard,
            )
        make_known(folder, store_path=store, name=about["client"], viewing=viewing)
        click.echo(f"{about['story']}\n")
        print_sitting(sitting)
        write_report(sitting, report, note=about["story"])
    plan = plan_sitter(next_request(about["next"]))
    card = out / "plan.html"
    write_card(plan, card, title=about["client"])
    page = Page()
    page.told(about["next"]["what"], (plan.sentence, plan.advice))
    click.echo(page.text(), nl=False)
    click.echo(f"\nThe report: {plain_text(str(report))}\nThe plan: {plain_text(str(card))}")
    click.echo(f"The same in the pages: {_pages(store)}")
    return status_of(sitting)


def _pages(store: Path) -> str:
    """Return the command that opens the pages, by the name this one was called by."""
    called = "eyeplane" if shutil.which("eyeplane") else sys.argv[0]  # `make demo` is on no PATH
    return f"{shlex.quote(called)} serve --store {shlex.quote(plain_text(str(store)))}"


def next_request(said: Mapping[str, Any]) -> SitterRequest:
    """Return what the demo plans for next time.

    Parameters
    ----------
    said : mapping
        "print_cm", "focal_length_mm", "framing", "yaw_deg", "light_lux" and "background_mm", as
        about.json has them under "next".

    Returns
    -------
    SitterRequest
        One sitter with the usual kit.
    """
    return SitterRequest(
        kit=PlanKit(focal_length_mm=float(said["focal_length_mm"])),
        light=PlanLight(exposure_ev=exposure_from_lux_ev(float(said["light_lux"]))),
        promise=PlanPrint(print_cm=float(said["print_cm"])),
        framing=said["framing"],
        yaw_deg=float(said["yaw_deg"]),
        background_mm=float(said["background_mm"]),
    )
