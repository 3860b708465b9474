"""A sitting made by hand: every cause, a group, a blink, what cannot be told, and hostile names."""

import io
from pathlib import Path

from PIL import Image, ImageDraw, ImageFilter
from tests.deliver.told import told

from eyeplane.records import (
    Blur,
    BlurKind,
    BudgetPart,
    Cause,
    CauseCount,
    DepthMark,
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

HOSTILE = "<script>alert(1)<b><img src=x onerror=alert(2)>&\"'.jpg"
UNICODE = "Žofie_Ångström—日本語.jpg"
CONTROL = "line\x1b[2Jbreak\u202egpj.jpg"
MM_PER_PX = 0.134


def about(value: float, part: float = 0.12) -> Measured:
    """Return a number with an interval of so great a part to both sides."""
    ends = sorted((value * (1 - part), value * (1 + part)))
    return Measured(value=value, low=ends[0], high=ends[1])


def blur_of(kind: BlurKind, size_px: float | None, angle_deg: float | None = None) -> Blur:
    """Return a blur as measured."""
    size = None if size_px is None else about(size_px)
    return Blur(
        kind=kind,
        size_px=size,
        angle_deg=angle_deg,
        disc_px=size,
        line_px=size if kind == "line" else None,
        line_angle_deg=angle_deg,
        line_gain=90.0 if kind == "line" else 0.0,
        sharp_gain=0.0,
    )


def drawn_eye(blur_px: float, mm_per_px: float = MM_PER_PX) -> EyeView:
    """Return a drawn eye, 36 × 24 mm, blurred."""
    width, height = round(36 / mm_per_px), round(24 / mm_per_px)
    picture = Image.new("RGB", (width, height), (206, 176, 156))
    pen = ImageDraw.Draw(picture)
    x, y, r = width / 2, height / 2, 5.85 / mm_per_px
    pen.ellipse((x - 2.4 * r, y - r, x + 2.4 * r, y + r), fill=(236, 232, 226))
    pen.ellipse((x - r, y - r, x + r, y + r), fill=(92, 122, 138), outline=(40, 50, 60), width=3)
    pen.ellipse((x - r / 2.4, y - r / 2.4, x + r / 2.4, y + r / 2.4), fill=(12, 10, 10))
    for k in range(-10, 11):
        pen.line((x + k * r / 5, y - r, x + k * r / 4.3, y - 1.6 * r), fill=(50, 34, 26), width=2)
    out = io.BytesIO()
    picture.filter(ImageFilter.GaussianBlur(blur_px / 4)).save(out, "JPEG", quality=85)
    return EyeView(jpeg=out.getvalue(), mm_per_px=mm_per_px)


def face_reading(
    blur: Blur, *, x_px: float = 300.0, yaw_deg: float = -25.0, view: EyeView | None = None
) -> FaceReading:
    """Return one face with its near eye on the left of the picture."""
    iris = about(87.4, 0.04)
    eyes = (
        Eye(side="left", iris_px=(x_px + 130, 560.0), iris_diameter_px=iris, open=True),
        Eye(side="right", iris_px=(x_px + 520, 560.0), iris_diameter_px=iris, open=True),
    )
    face = Face(
        box_px=(x_px, 200.0, 640.0, 820.0),
        score=0.97,
        yaw_deg=Measured(value=yaw_deg, low=yaw_deg - 3, high=yaw_deg + 3),
        pitch_deg=Measured(value=2.0, low=-1.0, high=5.0),
        roll_deg=Measured(value=-1.0, low=-3.0, high=1.0),
        near="left",
        eyes=eyes,
        landmarks=(),
        mm_per_px=about(MM_PER_PX, 0.05),
        distance_mm=about(1830.0, 0.05),
    )
    return FaceReading(
        face=face,
        eyes=(
            EyeReading(side="left", blur=blur),
            EyeReading(side="right", blur=blur_of("disc", 9.0)),
        ),
        probes=(
            ProbeReading(
                name="near brow",
                at_px=(x_px + 120, 480.0),
                depth_mm=-7.0,
                depth_sd_mm=2.0,
                blur=blur_of("disc", 4.0),
            ),
        ),
        together=blur_of("cannot tell", None),
        noise_contrast=about(0.012),
        view=view,
    )


MARKS = (
    DepthMark(name="nose tip", depth_mm=-16.0),
    DepthMark(name="near lashes", depth_mm=-6.6),
    DepthMark(name="near iris", depth_mm=0.0),
    DepthMark(name="far iris", depth_mm=24.4),
    DepthMark(name="near ear", depth_mm=65.7),
    DepthMark(name="far ear", depth_mm=135.4),
    DepthMark(name="backdrop", depth_mm=1500.0),
)


def face_answer(
    cause: Cause, reach_cm: float | None, offset_mm: float | None = None, *, sitter: bool = True
) -> FaceAnswer:
    """Return what is said about one face."""
    moved = cause in {"shake", "sitter", "motion"}
    return FaceAnswer(
        sitter=sitter,
        reach_cm=None if reach_cm is None else about(reach_cm),
        holds_diagonal=None if reach_cm is None else reach_cm > 60,
        offset_mm=None if offset_mm is None else about(offset_mm, 0.25),
        offset_why="" if offset_mm is not None else "there is too little texture before the eye",
        cause=cause,
        motion_um=about(54.0) if moved else None,
        motion_mm=about(1.2) if moved else None,
        motion_angle_deg=80.0 if moved else None,
        budget=(
            BudgetPart(
                cause="focus",
                blur_um=about(38.0),
                blur_px=about(6.4),
                reach_without_cm=92.0,
            ),
            BudgetPart(
                cause="diffraction",
                blur_um=about(3.0),
                blur_px=about(0.5),
                reach_without_cm=37.0,
            ),
            BudgetPart(cause="noise", blur_um=None, blur_px=None, reach_without_cm=None),
        ),
        marks=MARKS,
        depth_front_mm=None if offset_mm is None else 9.0,
        depth_back_mm=None if offset_mm is None else 9.2,
        eyes_open=True,
    )


def reading_of(
    name: str,
    faces: tuple[FaceReading, ...],
    *,
    second: float = 0.0,
    status: FrameStatus = "measured",
    reason: str = "",
) -> FrameReading:
    """Return one frame as measured, 6000 × 4000 px, taken so many seconds after ten."""
    minute, rest = divmod(second, 60)
    return FrameReading(
        path=f"/sittings/ilves/{name}",
        sha256="0" * 64,
        size_bytes=1,
        mtime_ns=1,
        status=status,
        reason=reason,
        width_px=0 if status == "unreadable" else 6000,
        height_px=0 if status == "unreadable" else 4000,
        exposure=Exposure(
            exposure_time_s=1 / 125,
            f_number=1.8,
            focal_length_mm=85.0,
            iso=100.0,
            flash_fired=True,
            body="Körper 24",
            captured_at=f"2026-03-14T10:{int(minute):02d}:{rest:06.3f}",
            captured_s=1.0e9 + second,
        ),
        pitch_um=about(6.0, 0.02),
        pitch_source="focal plane resolution",
        faces=faces,
        background=(),
        spots=(SpotReading(at_px=(100.5, 200.5), blur=blur_of("disc", 12.0)),),
    )


# name, cause, reach, offset, blur kind, blur size, angle, sentence, advice, burst, best, second
ROWS: tuple[
    tuple[
        str, Cause, float | None, float | None, BlurKind, float | None, float | None, str, str, int
    ],
    ...,
] = (
    (
        *("ilves-01.jpg", "focus", 35.0, 14.0, "disc", 6.4, None),
        "Near eye holds 35 cm. Focus lay 14 mm behind it.",
        "Focus on the near iris, or close to f/4: then it holds 80 cm.",
        1,
    ),
    ("ilves-02.jpg", "none", 96.0, 1.0, "none", 0.8, None, "Near eye holds 95 cm.", "", 1),
    (
        *("ilves-03.jpg", "shake", 24.0, 2.0, "line", 9.0, 78.0),
        "Near eye holds 24 cm. You shook, up and down, 54 µm on the sensor.",
        "At 1/400 s it would have held 80 cm.",
        1,
    ),
    (
        *("ilves-04.jpg", "sitter", 31.0, -3.0, "line", 7.0, 10.0),
        "Near eye holds 31 cm. The sitter moved 1.2 mm, sideways.",
        "At 1/500 s it would have held 75 cm.",
        1,
    ),
    (
        *(HOSTILE, "depth", 52.0, 6.0, "disc", 4.0, None),
        "Near eye holds 50 cm. The depth of field was too thin for both eyes.",
        "Close to f/2.8.",
        2,
    ),
    (
        *(UNICODE, "cannot tell", None, None, "cannot tell", None, None),
        "What the near eye holds we cannot tell: it is too small in the frame.",
        "",
        2,
    ),
    (
        *("ilves-07.jpg", "motion", 28.0, None, "line", 8.0, 135.0),
        "Near eye holds 28 cm. Something moved; whose motion it was we cannot tell.",
        "Try 1/500 s.",
        3,
    ),
    (
        *("ilves-08.jpg", "noise", 58.0, 0.0, "none", 1.0, None),
        "Near eye holds 55 cm. Noise takes the rest.",
        "ISO 800 would have held 85 cm.",
        4,
    ),
    (
        *("ilves-09.jpg", "glass", 44.0, 0.5, "cannot tell", 5.0, None),
        "Near eye holds 40 cm. Every plane is soft alike: the glass may be smeared.",
        "Clean the front of the lens, then take one more.",
        5,
    ),
    (
        *("ilves-10.jpg", "pixels", 62.0, 0.2, "none", 0.6, None),
        "Near eye holds 60 cm. The pixels end there.",
        "Step closer.",
        6,
    ),
)


def _frames(views: dict[str, EyeView]) -> list[SittingFrame]:
    frames = []
    for n, row in enumerate(ROWS):
        name, cause, reach, offset, kind, size, angle, sentence, advice, burst = row
        view = views.get(name) or drawn_eye(size or 0.5)
        reading = face_reading(blur_of(kind, size, angle), view=view)
        answer = face_answer(cause, reach, offset)
        frames.append(
            SittingFrame(
                reading=reading_of(name, (reading,), second=burst * 60 + n * 0.25),
                answer=FrameAnswer(
                    reach_cm=answer.reach_cm,
                    holds_diagonal=answer.holds_diagonal,
                    cause=cause,
                    sentence=sentence,
                    advice=advice,
                    deciding=0,
                    faces=(answer,),
                ),
                companions=("/sittings/ilves/ilves-01.dng",) if n == 0 else (),
                burst=burst,
                best_of_burst=name == "ilves-02.jpg" or (burst > 1 and name != UNICODE),
            )
        )
    return frames


def _group() -> SittingFrame:
    """Return three sitters given largest first, not from left to right, and a bystander."""
    places = ((900.0, 70.0, -2.0), (100.0, 48.0, 6.0), (1700.0, 22.0, 60.0), (2500.0, 9.0, 400.0))
    readings = tuple(
        face_reading(blur_of("disc", 6.0), x_px=x, yaw_deg=12.0, view=drawn_eye(k * 2 + 1, 0.417))
        for k, (x, _, _) in enumerate(places)
    )
    answers = tuple(
        face_answer("depth", reach, offset, sitter=k < 3)
        for k, (_, reach, offset) in enumerate(places)
    )
    return SittingFrame(
        reading=reading_of("group.jpg", readings, second=420.0),
        answer=FrameAnswer(
            reach_cm=answers[2].reach_cm,
            holds_diagonal=False,
            cause="depth",
            sentence="The third face from the left holds 22 cm. It sat too far behind.",
            advice="Bring the rear row 30 cm forward, or close to f/8.",
            deciding=2,
            faces=answers,
        ),
        companions=(),
        burst=7,
        best_of_burst=True,
    )


def _without(name: str, status: FrameStatus, reason: str) -> SittingFrame:
    return SittingFrame(
        reading=reading_of(name, (), status=status, reason=reason, second=500.0),
        answer=FrameAnswer(
            reach_cm=None,
            holds_diagonal=None,
            cause="cannot tell",
            sentence="",
            advice="",
            deciding=None,
            faces=(),
        ),
        companions=(),
        burst=None,
        best_of_burst=False,
    )


def make_sitting(
    *, views: dict[str, EyeView] | None = None, name: str = "Marta Ilves", copies: int = 1
) -> Sitting:
    """Return the whole sitting with all that can be told; `copies` makes it a long one."""
    return told(bare_sitting(views=views, name=name, copies=copies))


def bare_sitting(
    *, views: dict[str, EyeView] | None = None, name: str = "Marta Ilves", copies: int = 1
) -> Sitting:
    """Return the sitting without findings, chances, lights, tally, habits and changes."""
    frames = [
        *_frames(views or {}) * copies,
        _group(),
        _without("hall.jpg", "nobody", ""),
        _without(CONTROL, "unreadable", "the file ends before the picture does"),
    ]
    return Sitting(
        name=name,
        viewing=Viewing(distance_cm=50.0, print_cm=60.0),
        goal_cm=60.0,
        frames=tuple(frames),
        measured=11 * copies,
        nobody=1,
        unreadable=1,
        holding=2,
        causes=(
            CauseCount(cause="focus", frames=4),
            CauseCount(cause="shake", frames=2),
            CauseCount(cause="motion", frames=1),
        ),
        median_reach_cm=Measured(value=44.0, low=24.0, high=96.0),
        lines=(
            "2 of 11 frames hold 60 cm.",
            "What costs most is focus: it lay behind the eye in 4 of them.",
            "It got worse: 3 of the 4 came in the second half.",
            "Next time focus on the near iris, and close to f/2.8.",
        ),
    )


def rendered_views(data: Path) -> dict[str, EyeView]:
    """Return real-looking eyes, cut out of the rendered heads (CC0)."""
    views = {}
    sources = ("dev_0016", "dev_0017", "dev_0062", "dev_0064")
    centres = ((0.0, 0.0),) * 4
    for name, source, _ in zip((r[0] for r in ROWS), sources, centres, strict=False):
        out = io.BytesIO()
        with Image.open(data / "rendered" / "single" / f"{source}.jpg") as picture:
            picture.crop((200, 470, 470, 650)).save(out, "JPEG", quality=88)
        views[name] = EyeView(jpeg=out.getvalue(), mm_per_px=MM_PER_PX)
    return views
