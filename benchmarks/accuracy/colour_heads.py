"""Longitudinal colour end to end on rendered heads: learned from some frames, a side in others.

The renderer's lens has no colour, so frames that are sharp from nose to far eye (f/5.6, in focus)
are blurred here, place by place and colour by colour, with the disc that the thin lens gives at
f/1.8; truth.json tells the depths. What is measured then is what a photographer's file would tell.
"""

import json
import math
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from benchmarks.accuracy.colour import FileKind, as_file, through_lens, with_noise
from numpy.typing import NDArray
from PIL import Image

from eyeplane.diagnose.colour import image_defocus_um, learn_colour, side_evidence
from eyeplane.diagnose.lens import Lens
from eyeplane.imaging.tone import srgb_to_linear
from eyeplane.measure import fit_blur, window_spectrum
from eyeplane.measure.colour import colour_at
from eyeplane.records import (
    Blur,
    ColourBlur,
    Exposure,
    Eye,
    EyeReading,
    Face,
    FaceReading,
    FrameReading,
    KitColour,
    Landmark,
    Measured,
    ProbeReading,
)

Array = NDArray[np.float64]
LEARN = ("dev_0012.jpg", "dev_0026.jpg")
JUDGE = ("dev_0043.jpg", "dev_0089.jpg")
LEARN_MM = (-25.0, -16.0, -9.0, -3.0, 3.0, 9.0, 16.0, 25.0)
JUDGE_MM = (-30.0, -20.0, -12.0, -7.0, 7.0, 12.0, 20.0, 30.0)
TOLD_SD_MM = 3.0  # of the offset that the cone tells
MARGIN_PX = 48
PLACES = {"brow": 128, "nose_tip": 128, "mouth": 128, "iris": 208}
CALLED = 0.95
EXPOSURE = Exposure(
    f_number=1.8, focal_length_mm=85.0, body="Rendered", lens="85 mm", exposure_time_s=1 / 250
)


def exact(value: float) -> Measured:
    """Return a number without error."""
    return Measured(value=value, low=value, high=value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """A modelled lens: how far red and blue focus behind green, micrometres, and the file."""

    name: str
    red_um: float
    blue_um: float
    kind: FileKind


KITS = (
    Kit(
        name="60/40 um, 4:2:0, 95",
        red_um=60.0,
        blue_um=40.0,
        kind=FileKind(name="", quality=95, subsampling=2),
    ),
    Kit(
        name="30/-20 um, 4:2:2, 96",
        red_um=30.0,
        blue_um=-20.0,
        kind=FileKind(name="", quality=96, subsampling=1),
    ),
    Kit(
        name="none, 4:2:0, 95",
        red_um=0.0,
        blue_um=0.0,
        kind=FileKind(name="", quality=95, subsampling=2),
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """A sharp frame in linear light with its truth."""

    linear: Array
    truth: dict[str, Any]
    lens: Lens

    def depth_mm(self, point: str) -> float:
        """Return a point's depth behind the near iris."""
        return float(self.truth["points"][point]["depth_mm"] - self.truth["near_iris_depth_mm"])


def load_heads(folder: Path, names: Sequence[str]) -> list[Head]:
    """Return the frames of these names."""
    truth = json.loads((folder / "truth.json").read_text(encoding="utf-8"))
    heads = []
    for frame in truth["frames"]:
        if frame["file"] in names:
            with Image.open(folder / frame["file"]) as picture:
                codes = np.asarray(picture.convert("RGB"))
            lens = Lens(
                focal_length_mm=frame["focal_mm"],
                f_number=1.8,
                distance_mm=exact(frame["near_iris_depth_mm"]),
                pitch_um=exact(frame["pitch_mm"] * 1000),
            )
            heads.append(Head(linear=srgb_to_linear(codes / 255.0), truth=frame, lens=lens))
    return heads


def read_face(head: Head, offset_mm: float, kit: Kit, rng: np.random.Generator) -> FaceReading:
    """Return a face as it would be read with the focus plane this far behind its near iris."""
    near = head.truth["near_eye"]
    far = "r" if near == "l" else "l"
    colours: dict[str, tuple[Blur, ColourBlur | None]] = {}
    for point in (
        f"iris_{near}",
        f"iris_{far}",
        f"brow_{near}",
        f"brow_{far}",
        "nose_tip",
        "mouth",
    ):
        if head.truth["points"][point]["seen"]:
            colours[point] = _read_place(head, point, offset_mm, kit, rng)
    nothing = (fit_blur([]), None)
    on_left, on_right = (colours.get(p, nothing) for p in ("iris_r", "iris_l"))
    probes = tuple(
        ProbeReading(
            name=point,
            at_px=_at(head, point),
            depth_mm=head.depth_mm(point),
            depth_sd_mm=2.0,
            blur=blur,
            colour=colour,
        )
        for point, (blur, colour) in colours.items()
        if not point.startswith("iris")
    )
    return FaceReading(
        face=_face(head, f"iris_{far}", "left" if near == "r" else "right"),
        eyes=(
            EyeReading(side="left", blur=on_left[0], colour=on_left[1]),
            EyeReading(side="right", blur=on_right[0], colour=on_right[1]),
        ),
        probes=probes,
        together=fit_blur([]),
        noise_contrast=None,
        view=None,
    )


def _at(head: Head, point: str) -> tuple[float, float]:
    x, y = head.truth["points"][point]["px"]
    return float(x), float(y)


def _face(head: Head, far_iris: str, near_side: Any) -> Face:  # noqa: ANN401  a literal
    zero = exact(0.0)
    return Face(
        box_px=(0.0, 0.0, 1000.0, 1200.0),
        score=1.0,
        yaw_deg=exact(float(head.truth["yaw_deg"])),
        pitch_deg=zero,
        roll_deg=zero,
        near=near_side,
        eyes=(
            Eye(side="left", iris_px=(0.0, 0.0), iris_diameter_px=exact(88.0), open=True),
            Eye(side="right", iris_px=(0.0, 0.0), iris_diameter_px=exact(88.0), open=True),
        ),
        landmarks=(
            Landmark(
                name="far iris",
                at_px=_at(head, far_iris),
                depth_mm=head.depth_mm(far_iris),
                depth_sd_mm=1.0,
            ),
        ),
        mm_per_px=exact(head.truth["object_mm_per_px"]),
        distance_mm=head.lens.distance_mm,
    )


def _read_place(
    head: Head, point: str, offset_mm: float, kit: Kit, rng: np.random.Generator
) -> tuple[Blur, ColourBlur | None]:
    side = PLACES[point.removesuffix("_l").removesuffix("_r")]
    x, y = (round(c) - side // 2 - MARGIN_PX for c in _at(head, point))
    size = side + 2 * MARGIN_PX
    height, width = head.linear.shape[:2]
    x, y = min(max(x, 0), width - size), min(max(y, 0), height - size)
    depth = head.depth_mm(point)
    x_um = float(image_defocus_um(head.lens, depth_mm=depth, offsets_mm=np.array(offset_mm)))
    per_um = (1 - 85.0 / (head.lens.distance_mm.value + depth)) / 1.8 / head.lens.pitch_um.value
    red, green, blue = (per_um * abs(x_um - d) for d in (kit.red_um, 0.0, kit.blue_um))
    patch = head.linear[y : y + size, x : x + size]
    drawn = through_lens(patch, (red, green, blue), rng, lateral_px=0.7)
    noisy, noise = with_noise(drawn, 60.0, rng, mosaic=False)
    with tempfile.TemporaryDirectory() as folder:
        picture = as_file(noisy, kit.kind, Path(folder))
    window = picture.luma_window(MARGIN_PX, MARGIN_PX, side, side)
    spectrum = window_spectrum(window, quantization=picture.quantization, noise=noise)
    blur = fit_blur([spectrum] if spectrum is not None else [], lines=False)
    disc = blur.disc_px or Measured(value=0.0, low=0.0, high=3.0)
    return blur, colour_at(picture, (size / 2, size / 2), side, noise=noise, disc_px=disc)


def frame_of(face: FaceReading, head: Head) -> FrameReading:
    """Return the frame that holds one face."""
    return FrameReading(
        path=head.truth["file"],
        sha256="",
        size_bytes=0,
        mtime_ns=0,
        status="measured",
        reason="",
        width_px=6000,
        height_px=4000,
        exposure=EXPOSURE,
        pitch_um=head.lens.pitch_um,
        pitch_source="focal plane resolution",
        faces=(face,),
        background=(),
        spots=(),
    )


def learned(heads: Sequence[Head], kit: Kit, rng: np.random.Generator) -> tuple[KitColour, ...]:
    """Return what is learned from all offsets of all heads."""
    frames = []
    for head in heads:
        for offset in LEARN_MM:
            told = offset + TOLD_SD_MM * rng.normal()
            half = 1.645 * TOLD_SD_MM
            face = read_face(head, offset, kit, rng)
            measured = Measured(value=told, low=told - half, high=told + half)
            frames.append((face, frame_of(face, head), measured))
    return learn_colour(frames)


def behind(face: FaceReading, head: Head, colour: KitColour) -> float:
    """Return the probability that the focus plane lay behind, by colour alone."""
    grid = np.linspace(-150.0, 150.0, 601)
    logs = side_evidence(face, head.lens, colour, grid) - np.log1p((grid / 150.0) ** 2)
    mass = np.exp(logs - logs.max())
    return float(mass[grid > 0].sum() / mass.sum())


def main(folder: Path) -> None:
    """Print what is learned and how well it tells the side."""
    learn, judge = load_heads(folder, LEARN), load_heads(folder, JUDGE)
    print("kit | learned red | blue | called | right | mean chance of the true side")
    for kit in KITS:
        rng = np.random.default_rng(5)
        kits = learned(learn, kit, rng)
        if not kits:
            print(f"{kit.name} | nothing")
            continue
        red, blue = kits[0].red_um, kits[0].blue_um
        chances = []
        for head in judge:
            for offset in JUDGE_MM:
                p = behind(read_face(head, offset, kit, rng), head, kits[0])
                chances.append(p if offset > 0 else 1 - p)
        sure = [c for c in chances if max(c, 1 - c) >= CALLED]
        right = float(np.mean([c > 0.5 for c in sure])) if sure else math.nan
        print(
            f"{kit.name} | {red.value:.0f} ({red.low:.0f} to {red.high:.0f}) | "
            f"{blue.value:.0f} ({blue.low:.0f} to {blue.high:.0f}) | "
            f"{len(sure) / len(chances):.2f} | {right:.2f} | {np.mean(chances):.2f}"
        )


if __name__ == "__main__":
    cv2.setNumThreads(1)
    main(Path(sys.argv[1]))
