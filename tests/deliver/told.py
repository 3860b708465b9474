"""What else can be told of the hand-made sitting: findings, chances, lights, tally, habits."""

from dataclasses import replace

from eyeplane.records import (
    Catchlight,
    CauseChance,
    CauseCount,
    Change,
    ColourBlur,
    FaceAnswer,
    FaceReading,
    Finding,
    Ghost,
    Habit,
    KitFocus,
    LightSource,
    Measured,
    Sitting,
    SittingFrame,
    SittingTally,
    Veil,
)


def measured(value: float, low: float, high: float) -> Measured:
    """Return a number with its interval."""
    return Measured(value=value, low=low, high=high)


WINDOW = LightSource(
    clock_hours=10.4,
    off_axis_deg=measured(38.0, 31.0, 45.0),
    width_deg=measured(22.0, 18.0, 27.0),
    height_deg=measured(30.0, 25.0, 36.0),
    share=0.72,
    hardness="fairly soft",
)
BULB = LightSource(
    clock_hours=2.0,
    off_axis_deg=measured(61.0, 52.0, 70.0),
    width_deg=measured(2.0, 0.0, 6.0),
    height_deg=measured(2.0, 0.0, 6.0),
    share=0.28,
    hardness="",
)
SHAKE = (
    CauseChance(
        cause="shake",
        prior=0.42,
        evidence=3.4,
        chance=0.961,
        because="1/125 s at 85 mm: your hands move this far in one frame of five",
    ),
    CauseChance(
        cause="sitter",
        prior=0.38,
        evidence=-3.4,
        chance=0.03,
        because="a seated adult moves this fast in one frame of eight",
    ),
    CauseChance(cause="focus behind", prior=0.198, evidence=-12.0, chance=0.0087, because=""),
    CauseChance(
        cause="glass", prior=0.002, evidence=-0.2, chance=0.0003, because="no other frame is veiled"
    ),
)
LASHES = Finding(
    kind="caught", text="Focus caught the lashes, 6.6 mm in front of the iris.", advice=""
)
FAR_EYE = Finding(
    kind="far eye",
    text="The far eye lies 24 mm behind and is soft.",
    advice="f/4 would have held both.",
)
GHOST = Finding(
    kind="ghost",
    text="Flash froze a sharp core; steady light drew a ghost 14 px long beside it.",
    advice="Shut the steady light out: 1/200 s, or a lower ISO with more flash.",
)
GLASSES = Finding(
    kind="glasses",
    text="The sitter wears glasses, and a light is mirrored in them before the near eye.",
    advice="Raise the light a little, or let the sitter lower the chin.",
)
DARK = Finding(kind="dark", text="The eyes got 2 % of white.", advice="Give them two stops more.")
CLOSED = Finding(
    kind="closed",
    text="The first face from the left has its eyes closed.",
    advice="Take one more.",
)
MANY = (LASHES, FAR_EYE, GHOST, GLASSES, DARK)

TALLY = SittingTally(
    frames=13,
    holding=2,
    closed=1,
    duplicates=1,
    soft=(
        CauseCount(cause="focus", frames=4),
        CauseCount(cause="shake", frames=2),
        CauseCount(cause="cannot tell", frames=1),
    ),
    nobody=1,
    unreadable=1,
)
KITS = (
    KitFocus(
        kit="Körper 24, 85 mm f/1.4",
        setting="f/1.8, focus point in the middle",
        frames=9,
        bias_mm=measured(11.0, 6.0, 16.0),
        spread_mm=measured(9.4, 6.2, 14.1),
    ),
    KitFocus(
        kit="Körper 24, 50 mm f/1.8",
        setting="",
        frames=2,
        bias_mm=measured(-1.2, -9.0, 6.6),
        spread_mm=measured(2.1, 0.0, 8.0),
    ),
)
HABITS = (
    Habit(
        kind="focus side",
        text="The focus plane lay behind the near eye in 8 of 9 frames, by 11 mm (6–16).",
        advice="Put the focus point on the near iris itself.",
        frames=9,
    ),
    Habit(
        kind="lens or me",
        text="It lies behind by 11 mm and scatters by 9 mm: whether lens or hand is not settled.",
        advice="Ten frames of a ruler at 45° on a tripod tell it.",
        frames=9,
    ),
    Habit(
        kind="veil",
        text="Since frame 5 something veils the lower left.",
        advice="Look at the front element.",
        frames=6,
    ),
    Habit(kind="cost", text="Focus costs most: 4 frames.", advice="", frames=11),
)
CHANGES = (
    Change(text="Focus on the near iris", holding=2, expected=measured(5.8, 4.2, 7.1)),
    Change(text="1/400 s instead of 1/125 s", holding=2, expected=measured(4.1, 3.0, 4.9)),
    Change(text="f/2.8 instead of f/1.8", holding=2, expected=measured(3.0, 2.2, 3.9)),
)


def told(sitting: Sitting) -> Sitting:
    """Return the hand-made sitting with all that is newly told of it."""
    return replace(
        sitting,
        frames=tuple(_frame(k, frame) for k, frame in enumerate(sitting.frames)),
        tally=TALLY,
        kits=KITS,
        habits=HABITS,
        changes=CHANGES,
    )


def _frame(number: int, frame: SittingFrame) -> SittingFrame:
    answer, reading = frame.answer, frame.reading
    if not answer.faces:
        return frame
    faces = tuple(_face(k, face, len(answer.faces)) for k, face in enumerate(answer.faces))
    group = len(faces) > 1
    findings = MANY if number == 3 else (MANY[number % 5],) if number % 3 == 0 else ()
    findings = (CLOSED,) if group else findings
    return replace(
        frame,
        answer=replace(
            answer, faces=faces, findings=findings, stop_for_all=11.0 if group else None
        ),
        reading=replace(
            reading,
            faces=tuple(_reading(k, face) for k, face in enumerate(reading.faces)),
            veil=Veil(
                columns=3,
                rows=2,
                darkest=(0.012, 0.011, 0.0213, 0.034, 0.05123, 0.019),
                coarse=(0.31, 0.4, 0.22, 0.18, 0.1234, 0.27),
                fine=(0.08, 0.09, 0.071, 0.06, 0.0512, 0.07),
            ),
        ),
    )


def _face(number: int, face: FaceAnswer, faces: int) -> FaceAnswer:
    if not face.sitter:
        return face
    # The builder gives a group's faces largest first: they stand second, first and third.
    name = ("the second face", "the first face", "the third face")[number] if faces > 1 else ""
    inside = None if face.offset_mm is None else abs(face.offset_mm.value) <= 9.0
    return replace(
        face,
        name=f"{name} from the left" if name else "",
        inside=inside,
        stop=None if inside is not False else 11.0,
        chances=SHAKE if face.cause in {"shake", "sitter", "motion", "depth"} else (),
        findings=(FAR_EYE,) if faces > 1 and number == 2 else (),
        lights=(WINDOW, BULB) if number == 0 else (WINDOW,),
    )


def _reading(number: int, face: FaceReading) -> FaceReading:
    left, right = face.eyes
    colour = ColourBlur(red_px2=measured(2.1, 1.5, 2.8), blue_px2=measured(-1.04, -2.0, -0.2))
    light = Catchlight(
        at_px=(431.234, 555.678),
        width_px=measured(6.21, 4.9, 7.7),
        height_px=measured(3.3, 0.0, 5.2),
        share=0.72,
    )
    blur = left.blur
    if blur.kind == "line":
        blur = replace(blur, disc_beside_px=measured(2.4, 1.9, 3.0))
    ghost = Ghost(
        core_share=measured(0.64, 0.55, 0.72),
        length_px=measured(14.2, 12.0, 16.5),
        angle_deg=179.97,
        gain=41.26,
    )
    return replace(
        face,
        eyes=(replace(left, blur=blur, colour=colour, catchlights=(light,)), right),
        ghost=ghost if number == 0 else None,
        level=0.1834,
        glasses=number == 0,
    )
