"""What the measuring is to reach, and what it reaches: one table.

Run: python -m benchmarks.accuracy.goals [--write]    (about ten minutes on two cores)

With --write the table, and below it all that the other benchmarks print, go to docs/accuracy.md.
"""

import contextlib
import importlib
import io
import os
import platform
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from benchmarks.accuracy import synthetic
from benchmarks.accuracy.chain import Head, jobs, measured
from benchmarks.accuracy.reliability import true_kind

ROOT = Path(__file__).parents[2]
DATA = Path(os.environ.get("EYEPLANE_TEST_DATA", ROOT.parent / "shared" / "data"))
MOTIONS = ("shake", "sitter", "motion")
# Printed whole below the table: module, what it shows.
DETAILS = (
    ("run", "Synthetic blur on sharp patches of photographs, rendered eyes, focus stack"),
    ("chain", "Rendered heads, the whole chain"),
    ("reliability", "Are stated chances right as often as they say?"),
    ("whose", "Shake, sitter, turn, ghost: photographs with a known motion put on"),
    ("caught", "What the focus caught, and who of a group is in"),
    ("colour", "Longitudinal colour: the side from one window"),
)
COLOUR_WINDOWS = 100  # of each kind of file


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of the table: what was asked, what came out on all and on either half."""

    name: str
    goal: str
    reached: str
    seen: str = ""
    held_back: str = ""
    met: bool | None = None


def is_held_back(head: Head) -> bool:
    """Return whether a head belongs to the half that no constant was chosen on.

    Seen: the first head, straight on and turned by 45 degrees. Held back: the same turned by 20
    and 25 degrees, and all other heads.
    """
    return "heads" in head.frame or abs(head.truth["yaw_deg"]) not in (0, 45)


def synthetic_figures(people: Path) -> list[Figure]:
    """Return the figures of synthetic blur: 256 px windows, JPEG quality 90."""
    plain = synthetic.measured_rows(synthetic.make_cases(people, count=690, side_px=256))
    camera = synthetic.measured_rows(
        synthetic.make_cases(people, count=690, side_px=256, camera=True)
    )
    mixed = synthetic.measured_rows(
        synthetic.make_cases(people, count=115, side_px=256, kinds=("mixed",))
    )
    rows = [*plain, *camera]
    figures = []
    for low, high, goal in ((3, 8, 0.08), (8, 20, 0.04)):
        off = np.abs(synthetic.errors(rows, "disc", low, high))
        figures.append(_error(f"disc {low} to {high} px: size, median / 90 %", off, goal))
    off, turned = (
        np.abs(synthetic.errors(rows, "line", 5, 30)),
        synthetic.angle_errors(rows, 5, 30),
    )
    figures.append(_error("line from 5 px: length, median / 90 %", off, 0.05))
    middle = float(np.median(turned))
    figures.append(
        Figure("line from 5 px: direction, median", "≤ 2.5°", f"{middle:.1f}°", met=middle <= 2.5)
    )
    called, right = synthetic.called_right(rows)
    figures += [
        Figure("disc or line: right when called", "≥ .98", _share(right), met=right >= 0.98),
        Figure(
            "called, of discs from 3 px and lines from 5 px",
            "≥ .90",
            _share(called),
            met=called >= 0.9,
        ),
    ]
    auc = synthetic.sharp_auc(rows, 3.0)
    figures.append(
        Figure("sharp reads below a disc from 3 px", "≥ .99", _share(auc), met=auc >= 0.99)
    )
    for kind, low, high in (("disc", 1, 3), ("disc", 3, 20), ("line", 5, 30)):
        held = synthetic.coverage(rows, kind, low, high)
        left_out = synthetic.coverage_left_out(rows, kind, low, high)
        figures.append(
            Figure(
                f"{kind} {low} to {high} px: 90 % intervals hold the truth",
                ".85 to .95",
                f"{_share(held)} ({_share(left_out)} with widths from the other photographs)",
                met=0.85 <= held <= 0.95,
            )
        )
    share, length, beside = synthetic.mixed_errors(mixed)
    figures.append(
        Figure(
            "line of 8 to 24 px with a disc of 2 to 6 px beside",
            "(none set)",
            f"called a line in {_share(share)}; length {_share(np.median(np.abs(length)))},"
            f" disc beside {_share(np.median(np.abs(beside)))} (median errors)",
        )
    )
    return figures


def rendered_figures(heads: Sequence[Head]) -> list[Figure]:
    """Return the figures of rendered heads, nets only, in both halves."""
    still = [h for h in heads if not h.frame.get("motion")]
    wide = [h for h in still if h.frame["f_number"] < 2.9]
    small = [h for h in still if h.frame["f_number"] > 5]
    moved = [h for h in heads if h.frame.get("motion") and h.frame["motion"]["px"] >= 4]
    return [
        _halves("f/2.8 and wider: offset, median", "≤ 2 mm", wide, _offset(0.5), lambda v: v <= 2),
        _halves("the same, 90 %", "≤ 8 mm", wide, _offset(0.9), lambda v: v <= 8),
        _halves("the same, bias", "within ± 1.5 mm", wide, _bias, lambda v: abs(v) <= 1.5),
        _halves("f/5.6: offset, median", "≤ 5 mm", small, _offset(0.5), lambda v: v <= 5),
        _halves("side right when called", "≥ .99", still, side_right, lambda v: v >= 0.99),
        _halves(
            "side called from 10 mm on, single heads",
            "≥ .90",
            [h for h in still if "heads" not in h.frame],
            _side_called,
            lambda v: v >= 0.9,
        ),
        _halves(
            "side called from 10 mm on, heads of a group (irises of 24 to 28 px)",
            "≥ .90",
            [h for h in still if "heads" in h.frame],
            _side_called,
            lambda v: v >= 0.9,
        ),
        _halves("in focus, yet called focus", "≤ .05", still, wrongly_called, lambda v: v <= 0.05),
        _halves(
            "near eye 1 to 3 px: median", "≤ .25", still, size_error(1, 3, 0.5), lambda v: v <= 0.25
        ),
        _halves(
            "near eye from 3 px: median",
            "≤ .05",
            still,
            size_error(3, 99, 0.5),
            lambda v: v <= 0.05,
        ),
        _halves("the same, 90 %", "≤ .15", still, size_error(3, 99, 0.9), lambda v: v <= 0.15),
        _halves("sharp eyes read, median", "≤ 1 px", still, _sharp, lambda v: v <= 1),
        _halves(
            "intervals hold: near eye from 1 px",
            ".85 to .95",
            still,
            size_held,
            lambda v: 0.85 <= v <= 0.95,
        ),
        _halves(
            "intervals hold: offset", ".85 to .95", still, offset_held, lambda v: 0.85 <= v <= 0.95
        ),
        _halves(
            "near eye named right, from 8° of yaw on",
            "≥ .98",
            [h for h in heads if abs(h.truth["yaw_deg"]) >= 8],
            _near_right,
            lambda v: v >= 0.98,
        ),
        _halves(
            "motion from 4 px against focus, right when called",
            "≥ .98",
            [*moved, *(h for h in still if h.truth["near_iris_blur_px"] > 4)],
            motion_right,
            lambda v: v >= 0.98,
        ),
    ]


def _error(name: str, off: np.ndarray, goal: float) -> Figure:
    middle, tail = np.quantile(off, (0.5, 0.9))
    return Figure(name, f"≤ {_share(goal)}", f"{middle:.3f} / {tail:.3f}", met=bool(middle <= goal))


def _share(value: float) -> str:
    return f"{value:.2f}" if value >= 0.995 or value < 0 else f"{value:.2f}".lstrip("0")


def _halves(
    name: str,
    goal: str,
    heads: Sequence[Head],
    figure: Callable[[Sequence[Head]], tuple[float, int]],
    met: Callable[[float], bool],
) -> Figure:
    parts = [
        heads,
        [h for h in heads if not is_held_back(h)],
        [h for h in heads if is_held_back(h)],
    ]
    texts = []
    for part in parts:
        value, count = figure(part)
        texts.append(f"{value:.2f} ({count})" if count else "–")
    value, count = figure(heads)
    return Figure(name, goal, texts[0], texts[1], texts[2], met(value) if count else None)


def offset_errors(heads: Iterable[Head]) -> np.ndarray:
    """Return offset minus truth in mm of the heads that have one."""
    return np.array(
        [
            h.answer.offset_mm.value - h.truth["focus_error_mm"]
            for h in heads
            if h.answer.offset_mm is not None
        ]
    )


def _offset(share: float) -> Callable[[Sequence[Head]], tuple[float, int]]:
    def figure(heads: Sequence[Head]) -> tuple[float, int]:
        off = np.abs(offset_errors(heads))
        return (float(np.quantile(off, share)) if len(off) else 0.0), len(off)

    return figure


def _bias(heads: Sequence[Head]) -> tuple[float, int]:
    off = offset_errors(heads)
    return (float(np.median(off)) if len(off) else 0.0), len(off)


def _said(head: Head) -> bool | None:
    """Return whether the side that is said is right; None where none is said."""
    offset = head.answer.offset_mm
    if offset is None or offset.low <= 0 <= offset.high:
        return None
    return bool((offset.value > 0) == (head.truth["focus_error_mm"] > 0))


def side_right(heads: Sequence[Head]) -> tuple[float, int]:
    """Return the share of said sides that are right, and how many are said."""
    said = [s for s in map(_said, heads) if s is not None]
    return (float(np.mean(said)) if said else 0.0), len(said)


def _side_called(heads: Sequence[Head]) -> tuple[float, int]:
    far = [h for h in heads if abs(h.truth["focus_error_mm"]) >= 10]
    said = [_said(h) is not None for h in far]
    return (float(np.mean(said)) if said else 0.0), len(said)


def wrongly_called(heads: Sequence[Head]) -> tuple[float, int]:
    """Return the share of eyes in focus that are called out of it, and their number."""
    sharp = [h.answer.cause == "focus" for h in heads if h.truth["near_iris_blur_px"] < 0.5]
    return (float(np.mean(sharp)) if sharp else 0.0), len(sharp)


def size_error(
    low: float, high: float, share: float
) -> Callable[[Sequence[Head]], tuple[float, int]]:
    """Return what gives a quantile of the relative error of the near eye, and its number."""

    def figure(heads: Sequence[Head]) -> tuple[float, int]:
        off = [
            abs(h.near_blur_px / h.truth["near_iris_blur_px"] - 1)
            for h in heads
            if h.near_blur_px is not None and low <= h.truth["near_iris_blur_px"] < high
        ]
        return (float(np.quantile(off, share)) if off else 0.0), len(off)

    return figure


def _sharp(heads: Sequence[Head]) -> tuple[float, int]:
    read = [
        h.near_blur_px
        for h in heads
        if h.truth["near_iris_blur_px"] < 0.5 and h.near_blur_px is not None
    ]
    return (float(np.median(read)) if read else 0.0), len(read)


def size_held(heads: Sequence[Head]) -> tuple[float, int]:
    """Return how often the interval of the near eye holds the truth, and of how many."""
    held = []
    for h in heads:
        true = h.truth["near_iris_blur_px"]
        size = h.near_size_px
        if size is not None and true >= 1:
            held.append(size.low <= true <= size.high)
    return (float(np.mean(held)) if held else 0.0), len(held)


def offset_held(heads: Sequence[Head]) -> tuple[float, int]:
    """Return how often the interval of the offset holds the truth, and of how many."""
    held = [
        h.answer.offset_mm.low <= h.truth["focus_error_mm"] <= h.answer.offset_mm.high
        for h in heads
        if h.answer.offset_mm is not None
    ]
    return (float(np.mean(held)) if held else 0.0), len(held)


def _near_right(heads: Sequence[Head]) -> tuple[float, int]:
    named = [h.near_right for h in heads if h.near_right is not None]
    return (float(np.mean(named)) if named else 0.0), len(named)


def motion_right(heads: Sequence[Head]) -> tuple[float, int]:
    """Return the share of called causes that are right, and how many are called."""
    right = []
    for h in heads:
        cause = h.answer.cause
        if cause in (*MOTIONS, "focus", "depth"):
            right.append((cause in MOTIONS) == bool(h.frame.get("motion")))
    return (float(np.mean(right)) if right else 0.0), len(right)


def confusion(heads: Sequence[Head]) -> list[str]:
    """Return the table of what heads suffer from against what was named."""
    named = ("none", "focus", "depth", *MOTIONS, "noise", "glass", "pixels", "cannot tell")
    counts: Counter[tuple[str | None, str]] = Counter(
        (true_kind(h.frame, h.truth), h.answer.cause) for h in heads
    )
    used = [n for n in named if any(counts[t, n] for t in ("none", "focus", "motion"))]
    lines = ["| truth | " + " | ".join(used) + " |", "| --- |" + " --- |" * len(used)]
    return lines + [
        f"| {truth} | " + " | ".join(str(counts[truth, n]) for n in used) + " |"
        for truth in ("none", "focus", "motion")
    ]


def table(figures: Sequence[Figure]) -> list[str]:
    """Return the figures as a Markdown table."""
    lines = [
        "| | asked | reached | seen half | held-back half | met |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for f in figures:
        met = "" if f.met is None else "yes" if f.met else "no"
        lines.append(f"| {f.name} | {f.goal} | {f.reached} | {f.seen} | {f.held_back} | {met} |")
    return lines


def detail(name: str) -> str:
    """Return what another benchmark prints."""
    main = importlib.import_module(f"benchmarks.accuracy.{name}").main
    printed, before = io.StringIO(), sys.argv
    sys.argv = [name]
    try:
        with contextlib.redirect_stdout(printed):
            if name == "colour":
                main(DATA / "people", COLOUR_WINDOWS)
            elif name in ("run", "caught"):
                main([])
            else:
                main()
    finally:
        sys.argv = before
    return printed.getvalue().strip()


def main() -> None:
    """Print the table; with --write put it and all details into docs/accuracy.md."""
    print(platform.machine(), "Python", platform.python_version(), flush=True)
    figures = synthetic_figures(DATA / "people")
    with ProcessPoolExecutor(os.cpu_count()) as pool:
        heads = [h for found in pool.map(measured, jobs(1)) for h in found]
    figures += rendered_figures(heads)
    lines = [*table(figures), "", *confusion(heads)]
    print("\n".join(lines), flush=True)
    if "--write" in sys.argv[1:]:
        write(figures, heads)


def write(figures: Sequence[Figure], heads: Sequence[Head]) -> None:
    """Write docs/accuracy.md: head.md, the tables, what the other benchmarks print, tail.md."""
    here = Path(__file__).parent
    parts = [(here / "head.md").read_text(encoding="utf-8").strip(), ""]
    parts += ["## What was asked, what is reached", "", *table(figures), ""]
    parts += ["## Causes on rendered heads", "", *confusion(heads), ""]
    for name, title in DETAILS:
        print(name, flush=True)
        parts += [f"## {title}", "", f"`python -m benchmarks.accuracy.{name}`", ""]
        parts += ["```text", detail(name), "```", ""]
    parts += [(here / "tail.md").read_text(encoding="utf-8").strip(), ""]
    (ROOT / "docs" / "accuracy.md").write_text("\n".join(parts), encoding="utf-8")


if __name__ == "__main__":
    main()
