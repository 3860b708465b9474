"""A simulated lens before the chart: glass by aperture and field, faults of known size, frames.

Points (x, y) px of the frame.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from tests.kit.camera import Camera, Pose, render, write_frame
from tests.kit.spreads import Spread, airy, disc, gaussian, line

from eyeplane.kit.chart_design import chart_sheet

SHEET = chart_sheet("A3")
WIDTH, HEIGHT, PITCH_UM, FOCAL_MM = 900, 600, 6.0, 14.0
TILE_PX = 150


@dataclass(frozen=True, kw_only=True)
class Lens:
    """What blurs a frame beside its pixels.

    Attributes
    ----------
    best_um, wide_um, widest : float
        Gaussian spread in the frame's middle at best, what it adds at the widest aperture.
    edge_share : float
        By how much more that is in the frame's corners.
    soft_right_share : float
        By how much more at the right border: a lens off its axis.
    soft_corner_share : float
        By how much more in the lower right corner.
    disc_um : float
        Disc of a missed focus, times f-number.
    shake_px, shake_deg : float
        Stroke of the camera's motion; 90° is up and down.
    """

    best_um: float = 2.5
    wide_um: float = 5.0
    widest: float = 1.8
    edge_share: float = 0.5
    soft_right_share: float = 0.0
    soft_corner_share: float = 0.0
    disc_um: float = 0.0
    shake_px: float = 0.0
    shake_deg: float = 0.0

    def glass_um(self, f_number: float, x_px: float, y_px: float) -> float:
        """Return the Gaussian spread at a place."""
        u, v = x_px / WIDTH * 2 - 1, y_px / HEIGHT * 2 - 1
        radius2 = ((x_px - WIDTH / 2) ** 2 + (y_px - HEIGHT / 2) ** 2) / (
            (WIDTH / 2) ** 2 + (HEIGHT / 2) ** 2
        )
        spread = np.hypot(self.best_um, self.wide_um * (self.widest / f_number) ** 2)
        spread *= 1 + self.edge_share * radius2
        spread *= 1 + self.soft_right_share * max(u, 0.0)
        return float(spread * (1 + self.soft_corner_share * max(min(u, v), 0.0)))

    def at(self, f_number: float) -> Callable[[float, float], Spread]:
        """Return the point spread for every place, at an aperture."""

        def spread(x_px: float, y_px: float) -> Spread:
            glass_px = self.glass_um(f_number, x_px, y_px) / PITCH_UM
            whole = airy(f_number, PITCH_UM) * gaussian(glass_px)
            if self.disc_um:
                whole = whole * disc(self.disc_um / f_number / PITCH_UM)
            if self.shake_px:
                whole = whole * line(self.shake_px, self.shake_deg)
            return whole

        return spread

    def half_per_px(self, f_number: float, place: tuple[float, float], angle_deg: float) -> float:
        """Return the frequency of half the contrast, the pixel included, in one direction."""
        f, a = np.arange(0.002, 1.0, 0.0005), np.radians(angle_deg)
        # Blur is the same all over a tile: that of its middle.
        x, y = (
            TILE_PX * (v // TILE_PX) + min(TILE_PX, full - TILE_PX * (v // TILE_PX)) / 2
            for v, full in zip(place, (WIDTH, HEIGHT), strict=True)
        )
        pixel = np.sinc(f * np.cos(a)) * np.sinc(f * np.sin(a))
        mtf = np.abs(pixel) * self.at(f_number)(x, y).along(f, angle_deg)
        k = int(np.argmax(mtf < 0.5))
        return float(np.interp(-0.5, -mtf[k - 1 : k + 1], f[k - 1 : k + 1]))


def camera(*, tilt_deg: float = 0.2, turn_deg: float = -0.3, fill: float = 0.96) -> Camera:
    """Return a camera that the chart fills."""
    magnification = WIDTH * fill / SHEET.width_mm * PITCH_UM / 1000
    pose = Pose(
        distance_mm=FOCAL_MM * (1 + 1 / magnification),
        tilt_deg=tilt_deg,
        turn_deg=turn_deg,
        roll_deg=0.4,
    )
    return Camera(
        pose=pose,
        focal_length_mm=FOCAL_MM,
        pitch_um=PITCH_UM,
        width_px=WIDTH,
        height_px=HEIGHT,
        k1=-0.01,
    )


def photograph(
    path: Path,
    lens: Lens,
    f_number: float,
    rng: np.random.Generator,
    *,
    stand: Camera | None = None,
    exposure: float = 1.0,
    quality: int = 92,
    **notes: object,
) -> Path:
    """Write one frame of the chart: JPEG with noise of photons and of reading."""
    linear = render(
        SHEET,
        stand or camera(),
        blur=lens.at(f_number),
        tile_px=TILE_PX,
        steps=3,
        vignetting=0.15,
        white=0.8 * exposure,
        black=0.03 * exposure,
        around=0.2 * exposure,
        rng=rng,
        full_well_e=30_000,
        read_noise_e=5,
    )
    told = {"pitch_um": PITCH_UM, "focal_length_mm": FOCAL_MM, "lens": "50mm F1.8", **notes}
    return write_frame(path, linear, f_number=f_number, quality=quality, **told)  # type: ignore[arg-type]  # handed on by name


def refocused(lens: Lens, disc_um: float) -> Lens:
    """Return the same lens, its focus missed by a disc of so many µm times f-number."""
    return replace(lens, disc_um=disc_um)
