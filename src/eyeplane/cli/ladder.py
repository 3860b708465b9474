"""`eyeplane ladder`: frames measured, limits told, and kept for plans if asked."""

import datetime
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from eyeplane.asked.kits import kit_settings
from eyeplane.asked.ladders import keep_ladder, ladder_labels, remember_ladder
from eyeplane.asked.names import check_name
from eyeplane.cli.check_options import take_outputs
from eyeplane.cli.check_show import show_check
from eyeplane.cli.progress import progress_bar
from eyeplane.deliver.ladder_content import ladder_content
from eyeplane.records import STANDARD_PRINT_CM
from eyeplane.sitting import RunOptions
from eyeplane.sitting.ladder import measure_ladder
from eyeplane.sitting.ladder_asked import LadderAsked


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
            settings=kit_settings(),
            options=RunOptions(
                store_path=outputs.store,
                workers=given["workers"],
                again=given["again"],
                labels=ladder_labels(asked, outputs.kit),
            ),
            progress=heard,
        )
    keep_ladder(result, outputs.kit, outputs.store)
    kept = remember_ladder(result, names, outputs.store, today=_today())
    content = ladder_content(result)
    content = replace(content, notes=(*content.notes, *kept))
    return show_check("ladder", result, content, outputs)


def _today() -> datetime.date:
    return datetime.datetime.now().astimezone().date()
