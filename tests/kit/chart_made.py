"""Frames of the chart made by hand: every edge with a frequency of half contrast that is asked for.

Points (x, y) px of the frame.
"""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from eyeplane.kit.chart_design import chart_sheet
from eyeplane.kit.chart_edges import ChartEdge
from eyeplane.kit.chart_frame import SeenFrame
from eyeplane.measure.slanted import HALF_GAUSSIAN, EdgeResponse
from eyeplane.records import Exposure, Measured
from eyeplane.records.kit_chart import ChartFrame

SHEET = chart_sheet("A3")
WIDTH, HEIGHT, SCALE, PITCH_UM = 6000, 4000, 14.0, 6.0
F = np.arange(0.0, 1.0001, 0.005)
Sigma = Callable[[float, float, bool], float]  # x and y from −1 to 1, sideways → px, pixel included


def response(sigma_px: float, *, angle_deg: float = 5.0, sd_share: float = 0.01) -> EdgeResponse:
    """Return a response whose contrast is a Gaussian's."""
    half = HALF_GAUSSIAN / sigma_px
    return EdgeResponse(
        frequency_per_px=F,
        mtf=np.exp(-2 * (np.pi * sigma_px * F) ** 2),
        mtf_sd=np.full_like(F, 0.005),
        mtf50_per_px=half,
        mtf50_sd_per_px=sd_share * half,
        sigma_px=sigma_px,
        angle_deg=angle_deg,
        tilt_deg=5.0,
        curve_px=0.0,
        length_px=200.0,
        dark_level=0.03,
        bright_level=0.7,
        contrast=0.9,
        noise=0.01,
        overshoot_ratio=0.0,
        pixels=5000,
        clipped=False,
    )


def edges(
    sigma: Sigma, rng: np.random.Generator | None = None, *, sd_share: float = 0.01
) -> tuple[ChartEdge, ...]:
    """Return all 96 edges; noise in their frequencies where a generator is given."""
    made = []
    for edge in SHEET.edges:
        middle = (np.array(edge.from_mm) + edge.to_mm) / 2
        x, y = SCALE * (middle - [SHEET.width_mm / 2, SHEET.height_mm / 2])
        angle = float(np.degrees(np.arctan2(edge.dark_mm[1], -edge.dark_mm[0])))
        wide = sigma(2 * x / WIDTH, 2 * y / HEIGHT, abs(np.cos(np.radians(angle))) > 0.7)
        if rng is not None:
            wide *= float(np.exp(sd_share * rng.normal()))
        made.append(
            ChartEdge(
                square=edge.square,
                x_px=x + WIDTH / 2,
                y_px=y + HEIGHT / 2,
                response=response(wide, angle_deg=angle, sd_share=sd_share),
            )
        )
    return tuple(made)


def seen(
    sigma: Sigma,
    rng: np.random.Generator | None = None,
    *,
    name: str = "a.jpg",
    f_number: float | None = 2.0,
    tilts_deg: tuple[float, float] | None = (0.0, 0.0),
    sd_share: float = 0.01,
    **told: object,
) -> SeenFrame:
    """Return a frame with those edges; tilts are known to 0.1°."""
    tilts = None
    if tilts_deg is not None:
        up, aside = (Measured(value=t, low=t - 0.1, high=t + 0.1) for t in tilts_deg)
        tilts = (up, aside)
    made = edges(sigma, rng, sd_share=sd_share)
    middles = {}
    for square in range(24):
        ends = [
            e for edge in SHEET.edges if edge.square == square for e in (edge.from_mm, edge.to_mm)
        ]
        x, y = np.mean(np.array(ends), axis=0)
        middles[square] = (float(x), float(y))
    frame = ChartFrame(
        name=name,
        f_number=f_number,
        tilt_deg=None if tilts_deg is None else float(np.hypot(*tilts_deg)),
        scale_px_per_mm=SCALE,
        edges=len(made),
        exposure="right",
        shake_px=0.0,
        shake_upright=False,
        sharpened=False,
    )
    return SeenFrame(
        name=name,
        exposure=Exposure(f_number=f_number, focal_length_mm=85.0, body="Body", lens="85mm"),
        width_px=WIDTH,
        height_px=HEIGHT,
        scale_px_per_mm=SCALE,
        tilts_deg=tilts,
        middles_mm=middles,
        airy_px=0.0,
        edges=made,
        told=replace(frame, **told),  # type: ignore[arg-type]  # handed on by name
    )


def even(sigma_px: float = 0.8, *, corners: float = 0.4) -> Sigma:
    """Return a lens on its axis: softer towards the corners by that share."""
    return lambda x, y, _: sigma_px * (1 + corners * (x * x + y * y) / 2)
