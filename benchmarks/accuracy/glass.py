"""Accuracy of the check of the glass; `python -m benchmarks.accuracy.glass veil 40`.

Modes: veil, none, smudge, lamp; then how many, a seed, and a curve: straight, soft, film.

Scenes are frames of the test data and made rooms; the glass scatters by published laws (see
tests/kit/glass_frames.py), a camera with noise, JPEG and a tone curve takes two frames, moved by up
to 3 % and with up to 1 stop between them.
"""

import sys
from pathlib import Path

import cv2
import numpy as np
from PIL import Image
from tests.conftest import DATA
from tests.kit.glass_frames import (
    GLARES,
    GlassCamera,
    Taken,
    film_like,
    lamp_on_dark,
    room,
    smudge,
    soft_shoulder,
    straight,
    taken_through,
)

from eyeplane.errors import InputError
from eyeplane.imaging.tone import SRGB_LUMA_WEIGHTS, srgb_to_linear
from eyeplane.kit.glass_judged import HALO_SHARE, VEIL_SHARE, VEIL_SURE
from eyeplane.kit.glass_lamp import read_lamp
from eyeplane.kit.glass_light import lay_over
from eyeplane.kit.glass_pair import PairFound, compare

SCENES = (
    "people/people-01.jpg", "people/people-03.jpg", "people/people-04.jpg", "people/people-05.jpg",
    "people/people-08.jpg", "people/people-10.jpg", "people/people-12.jpg", "nobody/scene-01.jpg",
    "nobody/scene-03.jpg", "focus_stack/board-03.jpg", "rendered/group/grp_0001.jpg", "", "",
)  # fmt: skip
CURVES = {"straight": straight, "soft": soft_shoulder, "film": film_like}
LONG_PX = 1100


def scene(rng: np.random.Generator, name: str) -> np.ndarray:
    if not name:
        return room(rng, (733, 1100))
    picture = Image.open(DATA / name).convert("RGB")
    picture.thumbnail((LONG_PX, LONG_PX), Image.Resampling.BOX)
    linear = srgb_to_linear(np.asarray(picture) / 255.0) @ np.array(SRGB_LUMA_WEIGHTS)
    return np.asarray(
        np.maximum(0.85 * linear / max(float(np.quantile(linear, 0.999)), 1e-3), 1e-4)
    )


def one(
    rng: np.random.Generator, mode: str, curve: str, held: list[float]
) -> tuple[Taken, PairFound, str] | None:
    name = SCENES[rng.integers(len(SCENES))]
    light = scene(rng, name)
    glare = list(GLARES)[rng.integers(len(GLARES))]
    cover: float | np.ndarray = 0.0
    if mode == "veil":
        cover = float(rng.choice([0.02, 0.05, 0.1, 0.2]))
    if mode == "smudge":
        at = tuple(rng.uniform(0.25, 0.75, 2))
        cover = smudge(light.shape, at, rng.uniform(0.08, 0.16), rng.uniform(0.08, 0.3))
    taken = taken_through(light, GLARES[glare], cover)
    stops = float(rng.uniform(-1, 0)) if rng.random() < 0.5 else 0.0
    noise = float(rng.choice([0.002, 0.004, 0.008]))
    first = GlassCamera(curve=CURVES[curve], noise=noise)
    second = GlassCamera(
        curve=CURVES[curve],
        noise=noise,
        gain=2**stops,
        shift=tuple(rng.uniform(-0.03, 0.03, 2)),
        turn_deg=float(rng.normal(0, 0.2)),
        cuts=True,
    )
    held[:] = [stops, noise]
    try:
        pair = lay_over(
            first.light(taken.clean, rng), second.light(taken.whole, rng), where="before"
        )
        found = compare(pair, rng, linear=False)
    except InputError as error:
        print(f"{name:26s} {error}")
        return None
    return taken, found, f"{Path(name).stem or 'room':10s} {glare:12s}"


def true_losses(taken: Taken, found: PairFound) -> np.ndarray:
    """Return the contrast each zone lost: noise-free frames, bands of the same sizes."""
    long_px = max(taken.clean.shape)
    bands = [
        cv2.GaussianBlur(x, (0, 0), 0.0015 * long_px) - cv2.GaussianBlur(x, (0, 0), 0.012 * long_px)
        for x in (taken.clean, taken.veiled)
    ]
    local = 1 / cv2.GaussianBlur(taken.clean, (0, 0), 0.015 * long_px) ** 2
    rows, columns = found.zones.rows, found.zones.columns
    height, width = taken.clean.shape
    lost = []
    for row in range(rows):
        for column in range(columns):
            box = (
                slice(row * height // rows, (row + 1) * height // rows),
                slice(column * width // columns, (column + 1) * width // columns),
            )
            kept = np.sqrt(
                (bands[1][box] ** 2 * local[box]).sum() / (bands[0][box] ** 2 * local[box]).sum()
            )
            lost.append(1 - kept * taken.clean[box].mean() / taken.veiled[box].mean())
    return np.array(lost)


def pairs(mode: str, count: int, seed: int, curve: str) -> None:
    rng = np.random.default_rng(seed)
    rows = []
    for _ in range(count):
        held: list[float] = []
        got = one(rng, mode, curve, held)
        if got is None:
            continue
        taken, found, words = got
        veil, halo = found.veil, found.halo.share
        assert halo is not None
        lost = true_losses(taken, found)
        cover = cv2.resize(taken.cover, (found.zones.columns, found.zones.rows), interpolation=3)
        flags = np.array([zone.smudged for zone in found.zones.zones])
        told = np.array([zone.loss_share is not None for zone in found.zones.zones])
        costly = (mode == "smudge") & told & (lost > 0.05) & (cover.ravel() > 0.04)
        zone_errors = [
            z.loss_share.value - t
            for z, t in zip(found.zones.zones, lost, strict=True)
            if z.loss_share
        ]
        rows.append(
            (
                abs(veil.value - taken.veil_share) <= max(0.005, 0.1 * taken.veil_share),
                veil.low <= taken.veil_share <= veil.high,
                halo.low <= taken.halo_share <= halo.high,
                found.second_worse,
                found.style_changed,
                veil.value >= VEIL_SHARE and veil.low >= VEIL_SURE,
                halo.value >= HALO_SHARE,
                costly.sum(),
                (costly & flags).sum(),
                (flags & (lost < np.median(lost) + 0.02)).sum(),
                float(np.median(np.abs(zone_errors))) if zone_errors else 0.0,
                bool((costly & flags).any()) if costly.any() else True,
            )
        )
        print(
            f"{words} {held[0]:+.2f} EV noise {held[1]:.3f} veil {taken.veil_share:.4f} "
            f"{veil.value:.4f} ({veil.low:.4f}-{veil.high:.4f}) halo {taken.halo_share:.4f} "
            f"{halo.value:.4f} ({halo.low:.4f}-{halo.high:.4f}) zones {(costly & flags).sum()}/"
            f"{costly.sum()} false {rows[-1][9]} {'STYLE' if found.style_changed else ''}"
            f"{'' if found.second_worse else ' FIRST'} changed {found.changed_share:.2f}",
            flush=True,
        )
    table = np.array(rows, float)
    names = (
        "veil within .005 or 10 %", "veil in interval", "halo in interval", "veiled one named",
        "style called", "veil called", "halo called",
    )  # fmt: skip
    print(f"\n{mode} {curve}: {len(table)} pairs")
    for name, share in zip(names, table[:, :7].mean(axis=0), strict=True):
        print(f"  {name:26s} {share:.2f}")
    print(
        f"  costly zones found {table[:, 8].sum():.0f} of {table[:, 7].sum():.0f}; false zones "
        f"{table[:, 9].sum():.0f} in {np.count_nonzero(table[:, 9])} pairs; median error of a loss "
        f"{np.median(table[:, 10]):.3f}; smudges found at all {table[:, 11].mean():.2f}"
    )


def lamps(count: int, seed: int) -> None:
    rng = np.random.default_rng(seed)
    rows = []
    for _ in range(count):
        glare = list(GLARES)[rng.integers(len(GLARES) - 1)]
        share = float(rng.choice([0.02, 0.05, 0.1]))
        lamp = lamp_on_dark(rng, radius=float(rng.uniform(0.008, 0.03)))
        taken = taken_through(lamp, GLARES[glare], share)
        # Of a small source: the light that lands in the halo over all that lands in the frame.
        found = read_lamp(GlassCamera(noise=0.002).light(taken.veiled, rng), rng)
        if found is None or found.halo.share is None:
            print(f"{glare:12s} {taken.halo_share:.4f} nothing told")
            continue
        halo = found.halo.share
        rows.append(
            (
                halo.value / taken.halo_share,
                halo.low <= taken.halo_share <= halo.high,
                found.streak is not None,
            )
        )
        print(
            f"{glare:12s} {taken.halo_share:.4f} {halo.value:.4f} ({halo.low:.4f}-{halo.high:.4f})"
        )
    table = np.array(rows, float)
    print(
        f"lamps {len(table)}: ratio {np.quantile(table[:, 0], [0.1, 0.5, 0.9]).round(2)}, in "
        f"interval {table[:, 1].mean():.2f}, streaks called {table[:, 2].sum():.0f}"
    )


if __name__ == "__main__":
    mode, count = sys.argv[1], int(sys.argv[2])
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    if mode == "lamp":
        lamps(count, seed)
    else:
        pairs(mode, count, seed, sys.argv[4] if len(sys.argv) > 4 else "straight")
