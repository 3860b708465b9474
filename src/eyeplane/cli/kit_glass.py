"""`eyeplane kit glass`: what lies on the glass, from the frames that were named."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from eyeplane.asked.check_glass import GlassAsked, glass_checked
from eyeplane.cli.check_options import take_outputs
from eyeplane.cli.check_show import show_check
from eyeplane.deliver import plain_text
from eyeplane.errors import InputError
from eyeplane.sitting.scan import scan


def glass_command(*, paths: Sequence[Path], before: Path | None, clean: bool, **given: Any) -> int:  # noqa: ANN401  shared options
    """Check the glass and show what was found.

    Parameters
    ----------
    paths : sequence of Path
        Frames, or folders of them.
    before : Path or None
        A frame of the same view from before wiping.
    clean : bool
        Whether the glass is clean.
    **given : object
        The shared options.

    Returns
    -------
    int
        Exit status 0.

    Raises
    ------
    InputError
        If frames cannot be used or do not fit each other, or a file cannot be written.
    StoreError
        If the store cannot be used.
    """
    outputs = take_outputs(given)
    frames = _frames(paths)
    asked = GlassAsked(before=before, clean=clean, kit=outputs.kit)
    done = glass_checked(frames, asked, store=outputs.store)
    return show_check(done.kind, done.result, done.content, outputs)


def _frames(paths: Sequence[Path]) -> list[Path]:
    frames = [Path(one.path) for one in scan(paths).frames]
    if not frames:
        raise InputError(
            "no frames were found there",
            where=", ".join(plain_text(str(path)) for path in paths),
            hint="Name frames, or a folder that holds some",
        )
    return frames
