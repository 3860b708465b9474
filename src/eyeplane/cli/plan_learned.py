"""What a measured sitting teaches, put into a plan as if it had been typed."""

from collections.abc import Sequence
from pathlib import Path

from eyeplane.asked.kits import kit_file, kit_pitches_um
from eyeplane.asked.plan_taught import learned_texts, most_told
from eyeplane.asked.plan_values import PlanOption, Typed
from eyeplane.cli.measure import check_found
from eyeplane.cli.progress import progress_bar
from eyeplane.deliver import plain_text
from eyeplane.errors import InputError
from eyeplane.records import MeasureSettings, Sitting, Viewing
from eyeplane.sitting import RunOptions, learn_from, measure_sitting


def typed_from(
    paths: Sequence[Path], table: Sequence[PlanOption], store: Path | None
) -> tuple[dict[str, Typed], tuple[str, ...]]:
    """Return what measured sittings teach for one plan's options.

    Parameters
    ----------
    paths : sequence of Path
        Folders of frames; measured now where they were not yet.
    table : sequence of PlanOption
        The options of the plan.
    store : Path or None
        Where measurements are kept; None: the photographer's own.

    Returns
    -------
    typed : dict of str to Typed
        By key, for `gather`.
    said : tuple of str
        What was learned, a sentence.

    Raises
    ------
    InputError
        If a path is not there, or nothing can be learned from the frames.
    StoreError
        If the store cannot be used.
    """
    sitting = sitting_of(paths, Viewing(), store)
    learned = learn_from(sitting.frames)
    options = {option.name: option for option in table}
    texts = {name: text for name, text in learned_texts(learned).items() if name in options}
    where = ", ".join(plain_text(str(path)) for path in paths)
    if not texts:
        count = len(sitting.frames)
        raise InputError(
            f"the {count} frames there teach nothing yet"
            if count > 1
            else "the one frame there teaches nothing yet",
            where=where,
            hint="A kit's focus needs five frames with a told offset out of three bursts, a speed "
            "eight frames of which three show it",
        )
    kit = most_told(learned.focus)
    whose = f" (focus of {plain_text(kit.kit)})" if kit is not None else ""
    listed = ", ".join(f"--{name} '{text}'" for name, text in texts.items())
    said = f"Learned from {plain_text(sitting.name)}{whose}: {listed}."
    return {options[name].key: options[name].typed(text) for name, text in texts.items()}, (said,)


def sitting_of(paths: Sequence[Path], viewing: Viewing, store: Path | None) -> Sitting:
    """Return a sitting, measured now where it was not yet.

    Parameters
    ----------
    paths : sequence of Path
        Folders and frames.
    viewing : Viewing
        For which print and from where to answer.
    store : Path or None
        Where measurements are kept; None: the photographer's own.

    Returns
    -------
    Sitting
        With at least one frame.

    Raises
    ------
    InputError
        If a path is not there, or holds no frames.
    StoreError
        If the store cannot be used.
    """
    with progress_bar() as heard:
        sitting = measure_sitting(
            paths,
            settings=MeasureSettings(kit_pitch_um=kit_pitches_um(kit_file())),
            viewing=viewing,
            options=RunOptions(store_path=store),
            progress=heard,
        )
    check_found(sitting, paths)
    return sitting
