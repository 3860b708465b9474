"""The table: the sitting in four lines, then every burst, in sentences and numbers."""

import io
import shutil
import sys
from collections import Counter
from pathlib import PurePath

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from eyeplane.deliver import (
    blur_words,
    cautions,
    frame_reasons,
    plain_text,
    reach_words,
    summary_lines,
)
from eyeplane.records import Sitting, SittingFrame

PLAIN_COLUMNS = 100  # where the output goes into a file or a pipe


def print_sitting(sitting: Sitting, *, why: bool = False) -> None:
    """Print a sitting to stdout, plainly where that is no terminal.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.
    why : bool
        Whether to tell of each frame what stands behind its answer.
    """
    terminal = sys.stdout.isatty()
    out = sys.stdout if terminal else io.StringIO()
    console = Console(
        file=out,
        width=shutil.get_terminal_size().columns if terminal else PLAIN_COLUMNS,
        force_terminal=terminal,
        highlight=False,
        markup=False,
        emoji=False,
    )
    console.print(_line(sitting.name), style="bold")
    for line in sitting.lines:
        if line:
            console.print(_line(line))
    for line in summary_lines(sitting):
        console.print(_line(line))
    if any(frame.burst is not None for frame in sitting.frames):
        console.print(_table(sitting))
    if why:
        _print_why(console, sitting)
    _print_spots(console, sitting)
    _print_rest(console, sitting)
    _print_cautions(console, sitting)
    if isinstance(out, io.StringIO):
        sys.stdout.write("".join(f"{line.rstrip()}\n" for line in out.getvalue().splitlines()))


def _table(sitting: Sitting) -> Table:
    table = Table(box=None, show_header=False, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column(width=4)
    table.add_column(max_width=24, overflow="fold")
    table.add_column(width=16)
    table.add_column(width=11)
    table.add_column(ratio=1)
    burst: int | None = None
    framed = [f for f in sitting.frames if f.burst is not None]
    sizes = Counter(f.burst for f in framed)
    for frame in sorted(framed, key=lambda f: f.burst or 0):
        if frame.burst != burst:
            burst = frame.burst
            table.add_row()
            table.add_row("", Text(f"Burst {burst}", style="bold"), _clock(frame), "", "")
        best = frame.best_of_burst and sizes[burst] > 1  # of one frame there is no choice
        table.add_row(
            "best" if best else "",
            Text(_name(frame), style="underline" if best else ""),
            _line(reach_words(frame.answer.reach_cm)),
            "nothing" if frame.answer.cause == "none" else frame.answer.cause,
            _answer(frame),
        )
    return table


def _answer(frame: SittingFrame) -> Text:
    said = _line(frame.answer.sentence)
    if frame.answer.advice:
        said.append(" ")
        said.append(_line(frame.answer.advice).plain, style="italic")
    sitters = [
        (reading.face.box_px[0] + reading.face.box_px[2] / 2, answer.reach_cm)
        for reading, answer in zip(frame.reading.faces, frame.answer.faces, strict=False)
        if answer.sitter
    ]
    if len(sitters) > 1:
        sitters.sort(key=lambda pair: pair[0])
        reaches = ", ".join(reach_words(reach) for _, reach in sitters)
        said.append(_line(f"\nFrom left to right: {reaches}.").plain)
    return said


def _print_why(console: Console, sitting: Sitting) -> None:
    told = [(frame, frame_reasons(frame)) for frame in sitting.frames]
    told = [(frame, reasons) for frame, reasons in told if reasons]
    console.print()
    console.print("Why", style="bold")
    if not told:
        console.print("Nothing more can be told of these frames than the answers above.")
    for frame, reasons in told:
        console.print(_line(f"{_name(frame)}: {frame.answer.sentence}"))
        for reason in reasons:
            console.print(Padding(_line(reason), (0, 0, 0, 4)))


def _print_spots(console: Console, sitting: Sitting) -> None:
    frames = [frame for frame in sitting.frames if frame.reading.spots]
    if not frames:
        return
    console.print()
    console.print("The places you asked for", style="bold")
    for frame in frames:
        for spot in frame.reading.spots:
            x, y = spot.at_px
            console.print(_line(f"{_name(frame)} at {x:g},{y:g}: {blur_words(spot.blur)}"))


def _print_rest(console: Console, sitting: Sitting) -> None:
    rest = [frame for frame in sitting.frames if frame.reading.status != "measured"]
    if not rest:
        return
    console.print()
    console.print("Frames without an answer", style="bold")
    for frame in rest:
        reason = (
            "nobody was found on it"
            if frame.reading.status == "nobody"
            else f"could not be read: {frame.reading.reason}"
        )
        console.print(_line(f"{_name(frame)}: {reason}"))


def _print_cautions(console: Console, sitting: Sitting) -> None:
    said = cautions(sitting)
    if not said:
        return
    console.print()
    console.print("Take care", style="bold")
    for caution in said:
        console.print(_line(caution))


def _name(frame: SittingFrame) -> str:
    return plain_text(PurePath(frame.reading.path).name)


def _line(text: str) -> Text:
    """Return a text for the terminal, where a thin space would be as wide as any other."""
    clean = "\n".join(plain_text(part) for part in text.split("\n"))
    return Text(clean.replace("\u2009", " ").replace("\u202f", " "))


def _clock(frame: SittingFrame) -> str:
    at = frame.reading.exposure.captured_at
    return at[11:19] if at and len(at) >= 19 else ""
