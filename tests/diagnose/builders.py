"""Hand-made readings: numbers in, record out, for table tests of what is said about them."""

from collections.abc import Sequence
from typing import Literal

from eyeplane.diagnose.offset import EYE_DEPTH_MM
from eyeplane.records import (
    Blur,
    BlurKind,
    Exposure,
    Eye,
    EyeReading,
    Face,
    FaceReading,
    FrameReading,
    Landmark,
    Measured,
    ProbeReading,
    Side,
)

# A head turned a little: name and depth behind the near iris in mm.
DEPTHS = {
    "nose tip": -28.0,
    "near lashes": -2.0,
    "near brow": -8.0,
    "mouth": -14.0,
    "far iris": 22.0,
    "near ear": 88.0,
}
LENS = Exposure(
    exposure_time_s=1 / 250,
    f_number=1.8,
    focal_length_mm=85.0,
    iso=100.0,
    body="Test",
    lens="85 mm",
)


def measured(value: float, share: float = 0.1) -> Measured:
    """Return a number with an interval of a share to either side."""
    half = abs(value) * share
    return Measured(value=value, low=value - half, high=value + half)


def blur(
    kind: BlurKind, size_px: float | None, *, angle_deg: float | None = None, share: float = 0.12
) -> Blur:
    """Return a blur; "none" reaches down to zero."""
    size = None
    if size_px is not None:
        size = measured(size_px, share)
        if kind == "none":
            size = Measured(value=size_px, low=0.0, high=size_px * 2)
    return Blur(
        kind=kind,
        size_px=size,
        angle_deg=angle_deg if kind == "line" else None,
        disc_px=size,
        line_px=size,
        line_angle_deg=angle_deg,
        line_gain=90.0 if kind == "line" else -90.0,
        sharp_gain=0.0 if kind == "none" else -200.0,
    )


def disc_px(
    depth_mm: float, offset_mm: float, *, distance_mm: float, f_number: float, pitch_um: float
) -> float:
    """Return the thin-lens disc of an 85 mm lens, in px."""
    focus, subject = distance_mm + offset_mm, distance_mm + depth_mm
    disc = 85.0 / f_number * 85.0 / (focus - 85.0) * abs(subject - focus) / subject
    return 1000.0 * disc / pitch_um


def sharp_or_disc(size_px: float) -> Blur:
    """Return what the measuring would say of a disc: below 1.5 px it is no blur."""
    return blur("none", max(size_px, 0.3)) if size_px < 1.5 else blur("disc", size_px)


def face(
    *,
    near_blur: Blur,
    far_blur: Blur | None = None,
    probes: Sequence[tuple[str, float, Blur]] = (),
    near: Side | None = "left",
    together: Blur | None = None,
    box: tuple[float, float, float, float] = (1000.0, 800.0, 900.0, 1200.0),
    noise: float | None = 0.005,
    distance_mm: float | None = 1500.0,
    eyes_open: tuple[bool | None, bool | None] = (True, True),
) -> FaceReading:
    """Return one face; the near eye is the left one unless said."""
    far_blur = far_blur or near_blur
    left, right = (near_blur, far_blur) if near != "right" else (far_blur, near_blur)
    x, y, width, height = box
    eyes = (
        Eye(
            side="left",
            iris_px=(x + 0.3 * width, y + 0.4 * height),
            iris_diameter_px=measured(150.0, 0.03),
            open=eyes_open[0],
        ),
        Eye(
            side="right",
            iris_px=(x + 0.7 * width, y + 0.4 * height),
            iris_diameter_px=measured(145.0, 0.03),
            open=eyes_open[1],
        ),
    )
    corner = (x + width if near == "right" else x, y)
    marks = [Landmark(name=n, at_px=corner, depth_mm=d, depth_sd_mm=2.0) for n, d in DEPTHS.items()]
    return FaceReading(
        face=Face(
            box_px=box,
            score=0.9,
            yaw_deg=Measured(value=20.0, low=14.0, high=26.0),
            pitch_deg=Measured(value=0.0, low=-6.0, high=6.0),
            roll_deg=Measured(value=0.0, low=-3.0, high=3.0),
            near=near,
            eyes=eyes,
            landmarks=tuple(marks),
            mm_per_px=measured(0.1, 0.06),
            distance_mm=None if distance_mm is None else measured(distance_mm, 0.05),
        ),
        eyes=(EyeReading(side="left", blur=left), EyeReading(side="right", blur=right)),
        probes=tuple(
            ProbeReading(name=n, at_px=corner, depth_mm=d, depth_sd_mm=2.5, blur=b)
            for n, d, b in probes
        ),
        together=together or near_blur,
        noise_contrast=None if noise is None else measured(noise, 0.2),
        view=None,
    )


def focused_face(
    offset_mm: float, *, f_number: float = 1.8, distance_mm: float = 1500.0, pitch_um: float = 4.4
) -> FaceReading:
    """Return a face whose blur follows the cone of a focus plane at an offset."""

    def at(depth_mm: float) -> Blur:
        return sharp_or_disc(
            disc_px(
                depth_mm, offset_mm, distance_mm=distance_mm, f_number=f_number, pitch_um=pitch_um
            )
        )

    return face(
        near_blur=at(EYE_DEPTH_MM),
        far_blur=at(DEPTHS["far iris"] + EYE_DEPTH_MM),
        probes=[(n, d, at(d)) for n, d in DEPTHS.items()],
        distance_mm=distance_mm,
    )


def frame(
    *faces: FaceReading,
    background: Sequence[Blur] = (),
    exposure: Exposure = LENS,
    pitch_um: float | None = 4.4,
    status: Literal["measured", "nobody", "unreadable"] = "measured",
    reason: str = "",
) -> FrameReading:
    """Return a frame of 6000 × 4000 px."""
    return FrameReading(
        path="sitting/frame.jpg",
        sha256="00",
        size_bytes=1,
        mtime_ns=1,
        status=status,
        reason=reason,
        width_px=0 if status == "unreadable" else 6000,
        height_px=0 if status == "unreadable" else 4000,
        exposure=exposure,
        pitch_um=None if pitch_um is None else measured(pitch_um, 0.01),
        pitch_source="" if pitch_um is None else "35 mm equivalent",
        faces=faces,
        background=tuple(
            ProbeReading(
                name="background", at_px=(9.5, 9.5), depth_mm=None, depth_sd_mm=None, blur=b
            )
            for b in background
        ),
        spots=(),
    )
