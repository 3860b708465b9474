"""What is said of caught places and of groups on rendered heads, against truth.json.

Run: python -m benchmarks.accuracy.caught [every N-th frame]
"""

import json
import math
import os
import platform
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from eyeplane.diagnose.case import FaceCase, case_of, sitters
from eyeplane.diagnose.caught import catch_of, caught_findings
from eyeplane.diagnose.group import group_stops, group_table
from eyeplane.diagnose.reach import print_view
from eyeplane.diagnose.stops import aim_cm
from eyeplane.diagnose.zones import EXTENT_MM, LEAST_EXTENT_MM
from eyeplane.measure import measure_frame
from eyeplane.optics import blur_for_print_px
from eyeplane.people import head_depth
from eyeplane.records import FrameReading, MeasureSettings, Viewing

DATA = (
    Path(os.environ.get("EYEPLANE_TEST_DATA", Path(__file__).parents[3] / "shared" / "data"))
    / "rendered"
)
SOFT_PX = 3.0  # a near eye blurred more than this is worth the question what was caught
GROUP_PRINTS_CM = (15.0, 20.0, 25.0, 30.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What was said of one head.

    Attributes
    ----------
    file : str
        The frame.
    soft : bool
        Whether the near eye is truly soft, and nothing moved.
    text : str
        The finding; empty if nothing was said.
    right : tuple of bool
        For each thing that was said, whether it is true.
    """

    file: str
    soft: bool
    text: str
    right: tuple[bool, ...]


def frames(folder: str, every: int = 1) -> list[tuple[str, dict[str, Any]]]:
    """Return (path, truth) of a folder's frames."""
    truth = json.loads((DATA / folder / "truth.json").read_text(encoding="utf-8"))["frames"]
    return [(str(DATA / folder / frame["file"]), frame) for frame in truth[::every]]


def cases_with_truth(
    reading: FrameReading, frame: dict[str, Any], viewing: Viewing
) -> list[tuple[FaceCase, dict[str, Any]]]:
    """Return the faces of a frame, each with the head it is."""
    view, joined = print_view(reading, viewing), []
    for face, sitter in zip(reading.faces, sitters(reading), strict=True):
        eyes = [eye.iris_px for eye in face.face.eyes]
        head = min(
            frame.get("heads", [frame]),
            key=lambda h: min(math.dist(eye, h["near_iris_px"]) for eye in eyes),
        )
        joined.append((case_of(face, reading, view, sitter=sitter), head))
    return joined


def span_mm(name: str, head: dict[str, Any]) -> tuple[float, float] | None:
    """Return from where to where a named place of a rendered head lies, behind its near iris.

    None for hair and clothes, of which truth.json says nothing.
    """
    near = head["near_eye"]
    far = "l" if near == "r" else "r"
    zero = head["near_iris_depth_mm"]
    ahead = math.cos(math.radians(head["yaw_deg"]))

    def depth(point: str) -> float:
        return float(head["points"][point]["depth_mm"] - zero)

    if name == "the temple":  # the side of the head from the eye to the ear
        return 0.0, depth(f"ear_{near}")
    if name == "the lashes":  # truth.json has their roots; how long they are is people's
        root = depth(f"lash_{near}_upper")
        return root + head_depth("lash tips").mean_mm * ahead, root
    if name == "the bridge of the nose":  # no point of truth.json; by the canonical face mesh
        middle = depth(f"iris_{far}") / 2 - 20.0 * ahead
    else:
        points = {
            "the brow": f"brow_{near}",
            "the far brow": f"brow_{far}",
            "the tip of the nose": "nose_tip",
            "the mouth": "mouth",
            "the far eye": f"iris_{far}",
            "the ear": f"ear_{near}",
            "the far ear": f"ear_{far}",
        }
        if name not in points:
            return None
        middle = depth(points[name])
    extent = EXTENT_MM.get(name, LEAST_EXTENT_MM)
    return middle - extent, middle + extent


def judge(
    case: FaceCase, reading: FrameReading, head: dict[str, Any]
) -> tuple[str, tuple[bool, ...]]:
    """Return what is said to have been caught, and whether each place said is where it is said."""
    found = caught_findings(case, reading)
    if not found:
        return "", ()
    plane, catch = head["focus_error_mm"], catch_of(case)
    if catch is not None:
        gaps = [gap_mm(name, head) for name in catch.names]
        return found[0].text, tuple(gap <= catch.within_mm for gap in gaps if gap is not None)
    if found[0].kind == "caught":  # in front of the whole face
        zero = head["near_iris_depth_mm"]
        return found[0].text, (plane < min(p["depth_mm"] for p in head["points"].values()) - zero,)
    gap = gap_mm(found[0].text.split(" is ")[0].split(" are ")[0].lower(), head)
    return found[0].text, () if gap is None else (gap < abs(plane),)


def gap_mm(name: str, head: dict[str, Any]) -> float | None:
    """Return how far a named place lies from the true focus plane; None where that is not known."""
    span, plane = span_mm(name, head), head["focus_error_mm"]
    return None if span is None else max(span[0] - plane, plane - span[1], 0.0)


def said_of(work: Sequence[tuple[str, dict[str, Any]]]) -> Iterator[Said]:
    """Yield what is said of each head of some frames."""
    for path, frame in work:
        reading = measure_frame(path, MeasureSettings())
        for case, head in cases_with_truth(reading, frame, Viewing()):
            text, right = judge(case, reading, head)
            soft = head["near_iris_blur_px"] > SOFT_PX and not frame.get("motion")
            yield Said(file=frame["file"], soft=soft, text=text, right=right)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """One head of a group against its truth.

    Attributes
    ----------
    called : bool or None
        In or out as told.
    inside : bool
        In or out by the thin lens.
    held : bool
        Whether the interval of its place holds the truth.
    """

    called: bool | None
    inside: bool
    held: bool


def placed_in(reading: FrameReading, frame: dict[str, Any], print_cm: float) -> list[Placed]:
    """Return how the heads of a group are told for one print."""
    joined = cases_with_truth(reading, frame, Viewing(print_cm=print_cm))
    cases = [case for case, _ in joined]
    placed = []
    for row in group_table(cases, reading):
        case, head = joined[row.index]
        circle_px = blur_for_print_px(
            long_edge_px=case.view.long_edge_px,
            print_cm=aim_cm(case),
            viewing_cm=case.view.viewing_cm,
            noise_contrast=case.noise,
        )
        behind = row.behind_mm
        placed.append(
            Placed(
                called=row.inside,
                inside=head["near_iris_blur_px"] <= circle_px,
                held=behind is not None and behind.low <= -head["focus_error_mm"] <= behind.high,
            )
        )
    return placed


def main(arguments: Sequence[str]) -> None:
    """Print the figures."""
    every = int(arguments[0]) if arguments else 1
    print(platform.machine(), "Python", platform.python_version(), "rendered heads, every", every)
    said = list(said_of([*frames("single", every), *frames("full")]))
    soft = [s for s in said if s.soft]
    told = [s for s in said if s.text]
    right = [r for s in told for r in s.right]
    print(f"heads {len(said)}, soft by focus {len(soft)}, of these something said of", end=" ")
    print(f"{sum(bool(s.text) for s in soft)}; places said {len(right)}, true {np.mean(right):.3f}")
    for one in told:
        if not all(one.right):
            print("   not so:", one.file, one.text)
    print("group, by print:")
    for path, frame in frames("group"):
        reading = measure_frame(path, MeasureSettings())
        for print_cm in GROUP_PRINTS_CM:
            placed = placed_in(reading, frame, print_cm)
            called = [p for p in placed if p.called is not None]
            cases = [c for c, _ in cases_with_truth(reading, frame, Viewing(print_cm=print_cm))]
            print(
                f"  {frame['file']} f/{frame['f_number']} {print_cm:.0f} cm:"
                f" called {len(called)} of {len(placed)},"
                f" right {sum(p.called == p.inside for p in called)},"
                f" places held {sum(p.held for p in placed)}, {group_stops(cases, reading)}"
            )


if __name__ == "__main__":
    main(sys.argv[1:])
