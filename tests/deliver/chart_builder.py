"""A reading of the chart made by hand."""

from eyeplane.records import Measured
from eyeplane.records.kit_chart import (
    ChartAperture,
    ChartFault,
    ChartFrame,
    ChartPlace,
    ChartResult,
)


def near(value: float, share: float = 0.01) -> Measured:
    """Return a number known to so much."""
    return Measured(value=value, low=value * (1 - share), high=value * (1 + share))


def place(square: int, half: float, frame: str = "a.jpg") -> ChartPlace:
    """Return a square; wider blur upright than sideways."""
    column, row = square % 6, square // 6
    x, y = (column - 2.5) / 3, (row - 1.5) / 2
    corner = column in (0, 5) and row in (0, 3)
    return ChartPlace(
        square=square,
        x_share=x,
        y_share=y,
        radius_share=(x * x + y * y) ** 0.5 / 2**0.5,
        zone="corner" if corner else "middle" if abs(x) + abs(y) < 0.8 else "sides",
        mtf50_per_px=near(half),
        sideways_per_px=near(half * 1.1),
        upright_per_px=near(half * 0.9),
        radial_per_px=None,
        tangential_per_px=near(half),
        edges=4,
        frame=frame,
    )


def aperture(f_number: float | None = 4.0, half: float = 0.3, **changed: object) -> ChartAperture:
    """Return an aperture, its corners at four fifths of the middle."""
    told: dict[str, object] = {
        "f_number": f_number,
        "frames": ("a.jpg", "b.jpg", "c.jpg"),
        "middle_per_px": near(half),
        "corner_per_px": near(0.8 * half),
        "middle_per_mm": near(half / 0.006),
        "corner_per_mm": near(0.8 * half / 0.006),
        "middle_per_height": near(4000 * half),
        "corner_per_height": near(3200 * half),
        "glass_um": near(2.0),
        "glass_corner_um": near(3.0),
        "refocused_ratio": 1.02,
        "sharpened": False,
        "shaken": False,
        "places": tuple(place(k, half * (0.8 if k in (0, 5, 18, 23) else 1.0)) for k in range(24)),
    }
    return ChartAperture(**(told | changed))  # type: ignore[arg-type]  # made by hand


def frame(name: str = "a.jpg", f_number: float | None = 4.0, **changed: object) -> ChartFrame:
    """Return a frame without trouble."""
    told: dict[str, object] = {
        "name": name,
        "f_number": f_number,
        "tilt_deg": 0.4,
        "scale_px_per_mm": 14.0,
        "edges": 96,
        "exposure": "right",
        "shake_px": 0.0,
        "shake_upright": False,
        "sharpened": False,
    }
    return ChartFrame(**(told | changed))  # type: ignore[arg-type]  # made by hand


def fault(where: str = "right side", explained: str = "lens or camera") -> ChartFault:
    """Return a softer side."""
    return ChartFault(
        f_number=2.0,
        where=where,
        ratio=Measured(value=0.7, low=0.66, high=0.74),
        explained=explained,  # type: ignore[arg-type]  # one of the three
    )


def reading(**changed: object) -> ChartResult:
    """Return a reading at three apertures."""
    told: dict[str, object] = {
        "kit": "Body with 85mm",
        "paper": "A3",
        "focal_length_mm": 85.0,
        "width_px": 6000,
        "height_px": 4000,
        "pitch_um": 6.0,
        "frames": (frame("a.jpg", 2.0), frame("b.jpg", 4.0), frame("c.jpg", 8.0)),
        "left_out": (),
        "apertures": (aperture(2.0, 0.2), aperture(4.0, 0.3), aperture(8.0, 0.297)),
        "sharpest_f_number": 4.0,
        "sharpest_among": (4.0, 8.0),
        "corners_f_number": 8.0,
        "corners_among": (8.0,),
        "faults": (),
        "field_curved": None,
        "glass_best_um": Measured(value=2.0, low=1.5, high=2.2),
        "glass_wide_um": Measured(value=4.0, low=3.7, high=4.3),
        "glass_widest_f_number": 2.0,
        "print_um": 1.2,
        "notes": (),
    }
    return ChartResult(**(told | changed))  # type: ignore[arg-type]  # made by hand
