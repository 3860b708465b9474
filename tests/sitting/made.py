"""Records made by hand: frames with faces, exposures and answers of stated numbers."""

from collections.abc import Sequence

from eyeplane.records import (
    Blur,
    BudgetPart,
    Cause,
    Exposure,
    Eye,
    EyeReading,
    EyeView,
    Face,
    FaceAnswer,
    FaceReading,
    FrameAnswer,
    FrameReading,
    FrameStatus,
    Measured,
    ProbeReading,
    Sitting,
    SittingFrame,
    SpotReading,
    Viewing,
)


def about(value: float, spread: float = 0.1) -> Measured:
    """Return a number with a relative spread."""
    half = abs(value) * spread
    return Measured(value=value, low=value - half, high=value + half)


def blur(size_px: float = 2.0) -> Blur:
    """Return a disc."""
    return Blur(
        kind="disc",
        size_px=about(size_px),
        angle_deg=None,
        disc_px=about(size_px),
        line_px=about(size_px),
        line_angle_deg=30.0,
        line_gain=-3.25,
        sharp_gain=-1 / 3,
    )


def line(angle_deg: float) -> Blur:
    """Return a line of motion."""
    return Blur(
        kind="line",
        size_px=about(8.0),
        angle_deg=angle_deg,
        disc_px=None,
        line_px=about(8.0),
        line_angle_deg=angle_deg,
        line_gain=12.0,
        sharp_gain=-40.0,
    )


def spot(at_px: tuple[float, float]) -> SpotReading:
    """Return blur at a place that was asked for."""
    return SpotReading(at_px=at_px, blur=line(179.97))


def face(
    box_px: tuple[float, float, float, float] = (400.0, 300.0, 200.0, 260.0),
    *,
    eye_blur: Blur | None = None,
    jpeg: bytes | None = None,
    open_eyes: bool | None = True,
) -> FaceReading:
    """Return a face at a place."""
    x, y, width, height = box_px
    eyes = tuple(
        Eye(
            side=side,  # type: ignore[arg-type]  # one of the two
            iris_px=(x + share * width, y + 0.4 * height),
            iris_diameter_px=about(0.08 * width),
            open=open_eyes,
        )
        for side, share in (("left", 0.3), ("right", 0.7))
    )
    measured = eye_blur or blur()
    return FaceReading(
        face=Face(
            box_px=box_px,
            score=0.9,
            yaw_deg=about(20.0),
            pitch_deg=about(1.0),
            roll_deg=about(-2.0),
            near="left",
            eyes=(eyes[0], eyes[1]),
            landmarks=(),
            mm_per_px=about(0.6),
            distance_mm=about(2000.0),
        ),
        eyes=(
            EyeReading(side="left", blur=measured),
            EyeReading(side="right", blur=measured),
        ),
        probes=(
            ProbeReading(
                name="nose tip", at_px=(x, y), depth_mm=-20.0, depth_sd_mm=3.0, blur=measured
            ),
        ),
        together=measured,
        noise_contrast=about(0.02),
        view=None if jpeg is None else EyeView(jpeg=jpeg, mm_per_px=0.1),
    )


def reading(
    path: str = "a.jpg",
    *,
    at_s: float | None = 0.0,
    faces: Sequence[FaceReading] | None = None,
    status: FrameStatus = "measured",
    exposure: Exposure | None = None,
    size_px: tuple[int, int] = (1000, 1500),
    sha256: str = "ab" * 32,
    spots: Sequence[SpotReading] = (),
) -> FrameReading:
    """Return a frame; with one face unless said otherwise."""
    shown = status == "measured"
    return FrameReading(
        path=path,
        sha256=sha256,
        size_bytes=10,
        mtime_ns=20,
        status=status,
        reason="the file is empty. Copy it again." if status == "unreadable" else "",
        width_px=0 if status == "unreadable" else size_px[0],
        height_px=0 if status == "unreadable" else size_px[1],
        exposure=exposure
        or Exposure(captured_s=at_s, focal_length_mm=85.0, f_number=1.8, body="A", iso=200.0),
        pitch_um=about(6.0),
        pitch_source="focal plane resolution",
        faces=tuple(faces if faces is not None else ([face()] if shown else [])),
        background=(),
        spots=tuple(spots),
    )


def answer(
    reach_cm: float | None = 50.0,
    cause: Cause = "none",
    *,
    open_eyes: bool | None = True,
    without: dict[str, float] | None = None,
    spread: float = 0.1,
    sitter: bool = True,
    diagonal: bool | None = None,
) -> FrameAnswer:
    """Return an answer with one face; `without` is the reach by part of the budget."""
    reach = None if reach_cm is None else about(reach_cm, spread)
    said = FaceAnswer(
        sitter=sitter,
        reach_cm=reach,
        holds_diagonal=diagonal,
        offset_mm=about(14.0),
        offset_why="",
        cause=cause,
        motion_um=None,
        motion_mm=None,
        motion_angle_deg=None,
        budget=tuple(
            BudgetPart(cause=name, blur_um=None, blur_px=None, reach_without_cm=value)
            for name, value in (without or {}).items()
        ),
        marks=(),
        depth_front_mm=None,
        depth_back_mm=None,
        eyes_open=open_eyes,
    )
    return FrameAnswer(
        reach_cm=reach,
        holds_diagonal=diagonal,
        cause=cause,
        sentence="Near eye holds so much.",
        advice="",
        deciding=0,
        faces=(said,),
    )


def sitting(frames: Sequence[SittingFrame], viewing: Viewing | None = None) -> Sitting:
    """Return a sitting of such frames, counts not worked out."""
    return Sitting(
        name="Ilves",
        viewing=viewing or Viewing(),
        goal_cm=40.0,
        frames=tuple(frames),
        measured=len(frames),
        nobody=0,
        unreadable=0,
        holding=0,
        causes=(),
        median_reach_cm=None,
        lines=("", "", "", ""),
    )
