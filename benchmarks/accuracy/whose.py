"""Shake, sitter, turn or ghost: how often each is told right, on frames with known motion.

Run: python -m benchmarks.accuracy.whose [frames of each truth a scene]
"""

import math
import platform
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from benchmarks.accuracy.chain import DATA as RENDERED
from benchmarks.accuracy.composites import (
    PHOTOGRAPHS,
    Made,
    Scene,
    Truth,
    changed,
    photograph,
    rendered_scenes,
    written,
)

from eyeplane.diagnose import answer_frame
from eyeplane.diagnose.motion import motion_of, whose
from eyeplane.diagnose.rotation import Rotation, rotation_of
from eyeplane.faces import find_faces
from eyeplane.imaging import open_picture
from eyeplane.measure import measure_frame
from eyeplane.measure.face import face_windows
from eyeplane.measure.moved import spread_background, with_ghost, with_places
from eyeplane.measure.opened import open_for_measuring
from eyeplane.records import FaceReading, FrameReading, Ghost, MeasureSettings, Viewing

TRUTHS: tuple[Truth, ...] = ("still", "shake", "sitter", "rotation", "ghost", "focus")
SETTINGS = MeasureSettings()
SITTER_SHARE = 0.5  # of the largest face's height


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A frame with what was said about the face in question.

    Attributes
    ----------
    made : Made
        The truth.
    by_picture : str
        Whose motion it was by the picture alone; empty where no motion was seen.
    cause : str
        The answer's cause for that face.
    rotation : Rotation or None
        Of the frame.
    ghost : Ghost or None
        Of that face.
    """

    made: Made
    by_picture: str
    cause: str
    rotation: Rotation | None
    ghost: Ghost | None


def scenes(data: Path, folder: Path) -> Iterator[Scene]:
    """Yield all scenes with the faces that are found in them while they are sharp."""
    people = data / "people"
    sources = [
        (f"people-{number:02d}", photograph(people, number, times, quarters))
        for number, times, quarters in PHOTOGRAPHS
    ]
    rng = np.random.default_rng(0)
    for name, linear in (*sources, *rendered_scenes(data)):
        sharp = written(linear, folder / "sharp.jpg", flash=False, rng=rng)
        boxes = [f.box_px for f in find_faces(open_picture(sharp, settings=SETTINGS))]
        tallest = max((box[3] for box in boxes), default=0.0)
        heads = tuple(box for box in boxes if box[3] >= SITTER_SHARE * tallest)
        if heads:
            yield Scene(name=name, linear=linear, heads=heads)


def make(scene: Scene, truth: Truth, folder: Path, rng: np.random.Generator) -> Made:
    """Return a frame of a scene with one truth, written to a folder."""
    linear, said = changed(scene, truth, rng)
    path = folder / f"{truth}.jpg"
    written(linear, path, flash=truth == "ghost", rng=rng)
    return Made(path=path, scene=scene.name, truth=truth, **said)


def told(made: Made) -> Told:
    """Return what is said about a frame: about the head that was changed, or the largest."""
    reading = read(made.path, ghosts=made.truth in ("still", "ghost", "shake", "focus"))
    if not reading.faces:
        return Told(made=made, by_picture="", cause="nobody", rotation=None, ghost=None)
    index = _nearest(reading, made.head) if made.head else 0
    face = reading.faces[index]
    motion = motion_of(face)
    others = [f for k, f in enumerate(reading.faces) if k != index]
    return Told(
        made=made,
        by_picture="" if motion is None else whose(motion, face, reading, others),
        cause=answer_frame(reading, Viewing()).faces[index].cause,
        rotation=rotation_of(reading),
        ghost=face.ghost,
    )


def _nearest(reading: FrameReading, box: tuple[float, float, float, float]) -> int:
    def away(face: FaceReading) -> float:
        x, y, width, height = face.face.box_px
        middle = (x + width / 2, y + height / 2)
        return math.dist(middle, (box[0] + box[2] / 2, box[1] + box[3] / 2))

    return min(range(len(reading.faces)), key=lambda k: away(reading.faces[k]))


def read(path: Path, *, ghosts: bool) -> FrameReading:
    """Return a frame's reading with all places that tell of motion, and ghosts if asked for.

    What `measure_frame` has looked at already stays as it is.
    """
    reading = measure_frame(str(path), SETTINGS)
    moved = any(f.together.kind != "none" for f in reading.faces)
    if not (moved or ghosts):
        return reading
    look = open_for_measuring(open_picture(path, settings=SETTINGS))
    boxes = [f.face for f in reading.faces]
    faces = list(reading.faces)
    for k, face in enumerate(faces):
        if moved and not any(p.name in ("hair", "clothes") for p in face.probes):
            faces[k] = with_places(look, face, boxes[:k] + boxes[k + 1 :])
        if ghosts and face.ghost is None:
            spectra = face_windows(look, face.face).spectra
            faces[k] = with_ghost(faces[k], spectra, flash_fired=None)
    return replace(
        reading,
        faces=tuple(faces),
        background=spread_background(look, boxes) if moved else reading.background,
    )


def all_told(data: Path, *, each: int, seed: int = 0) -> list[Told]:
    """Return every scene with every truth, so many times each (still ones once)."""
    found = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for k, scene in enumerate(scenes(data, folder)):
            rng = np.random.default_rng([seed, k])
            asked = [t for t in TRUTHS for _ in range(1 if t == "still" else each)]
            found += [told(make(scene, truth, folder, rng)) for truth in asked]
    return found


def rate(of: Sequence[Told], verdicts: Sequence[str], right: str) -> str:
    """Return how many were called, and how many of those right."""
    called = [t for t in of if t.by_picture in verdicts]
    good = sum(t.by_picture == right for t in called)
    share = f"{good / len(called):.3f}" if called else "none"
    return f"called {len(called)} of {len(of)}, right {good} ({share})"


def report(found: Sequence[Told]) -> None:
    """Print the tables."""
    columns = sorted({t.cause for t in found})
    print(f"{'truth':10s}" + "".join(f"{c:>12s}" for c in columns))
    for truth in TRUTHS:
        causes = Counter(t.cause for t in found if t.made.truth == truth)
        print(f"{truth:10s}" + "".join(f"{causes[c]:12d}" for c in columns))
    calls = ("shake", "sitter")
    for truth, right in (("shake", "shake"), ("rotation", "shake"), ("sitter", "sitter")):
        seen = [t for t in found if t.made.truth == truth and t.by_picture]
        print(f"{truth}: motion seen in {len(seen)}; by the picture {rate(seen, calls, right)}")
    for truth in ("still", "focus", "ghost"):
        wrong = [t for t in found if t.made.truth == truth and t.cause in calls]
        print(f"{truth}: {len(wrong)} called shake or sitter")
    turns = [t for t in found if t.made.truth == "rotation" and t.rotation is not None]
    errors = [t.rotation.turned_deg.value / t.made.turned_deg - 1 for t in turns if t.rotation]
    held = [
        t.rotation.turned_deg.low <= t.made.turned_deg <= t.rotation.turned_deg.high
        for t in turns
        if t.rotation
    ]
    false = sum(t.rotation is not None for t in found if t.made.truth != "rotation")
    every = sum(t.made.truth == "rotation" for t in found)
    print(f"turns found {len(turns)} of {every}, others called one {false} of {len(found) - every}")
    if errors:
        print(
            f"  degrees: median error {np.median(np.abs(errors)):.3f}, "
            f"bias {np.median(errors):+.3f}, intervals hold {np.mean(held):.2f}"
        )
    for truth in TRUTHS:
        here = [t for t in found if t.made.truth == truth]
        print(f"{truth}: ghost told in {sum(t.ghost is not None for t in here)} of {len(here)}")
    ghosts = [t for t in found if t.made.truth == "ghost" and t.ghost is not None]
    if ghosts:
        shares = [t.ghost.core_share.value - t.made.core_share for t in ghosts if t.ghost]
        lengths = [t.ghost.length_px.value / t.made.size_px - 1 for t in ghosts if t.ghost]
        print(
            f"  core's share: median error {np.median(np.abs(shares)):.3f}; "
            f"length {np.median(np.abs(lengths)):.3f}"
        )


def main() -> None:
    """Print the tables."""
    each = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    print(
        platform.machine(),
        "Python",
        platform.python_version(),
        each,
        "frames of each truth a scene",
    )
    report(all_told(RENDERED.parent, each=each))


if __name__ == "__main__":
    main()
