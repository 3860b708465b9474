"""Plans made by hand, with every part a card can show."""

from dataclasses import replace

from eyeplane.records import Measured
from eyeplane.records.plan import (
    BurstRequest,
    GroupRequest,
    PlanKit,
    PlanLight,
    PlanSitter,
    SitterRequest,
)
from eyeplane.records.planned import (
    FramesNeeded,
    LightQuality,
    LightWay,
    PlanEye,
    PlanMark,
    PlanPart,
    PlanSetting,
    Recompose,
    ScaledShutter,
    ShutterPoint,
)
from eyeplane.records.plans import (
    BurstPlan,
    BurstStep,
    GroupPlace,
    GroupPlan,
    GroupRow,
    GroupStop,
    SitterPlan,
)

KIT = PlanKit(focal_length_mm=85.0)
THIN = "\u2009"
CAUTIONS = (
    "Children are posed with their guardian present, and their frames stay on this machine.",
    "A child on a stool has an adult beside it.",
    "Sandbags on stands and booms, cables taped down; modelling lamps are hot.",
)
NOTES = (
    "Steadiness, autofocus and the sitter's movement are usual ones, not yours: measure a sitting "
    "and they are replaced.",
    "Glass: a usual lens at its best aperture.",
    "Shares are of frames in which the near eye holds the print; in brackets the range that holds "
    "the truth nine times in ten.",
)


def m(value: float, low: float, high: float) -> Measured:
    """Return a measured number."""
    return Measured(value=value, low=low, high=high)


Parts = dict[str, tuple[float | None, float]]


def eye(name: str, depth_mm: float, share: Measured, parts: Parts) -> PlanEye:
    """Return an eye with its budget: blur in µm and reach without it, by cause."""
    return PlanEye(
        name=name,
        depth_mm=depth_mm,
        reach_cm=m(71.0, 38.0, 104.0) if name != "far" else m(48.0, 30.0, 82.0),
        share=share,
        parts=tuple(
            PlanPart(cause=cause, blur_um=um, reach_without_cm=reach)
            for cause, (um, reach) in parts.items()
        ),
    )


def setting(
    f_number: float, shutter_s: float, iso: float, share: Measured, gives_up: str = ""
) -> PlanSetting:
    """Return settings with both eyes' budgets."""
    near: Parts = {
        "sitter": (14.0, 92.0),
        "focus": (9.5, 81.0),
        "shake": (6.2, 76.0),
        "diffraction": (7.5, 74.0),
        "glass": (6.0, 73.0),
        "noise": (None, 73.0),
        "pixels": (6.0, 72.0),
        "depth": (0.0, 71.0),
    }
    far = {**near, "depth": (18.0, 63.0), "sitter": (14.0, 56.0), "focus": (9.5, 52.0)}
    far = dict(sorted(far.items(), key=lambda item: -item[1][1]))
    return PlanSetting(
        f_number=f_number,
        shutter_s=shutter_s,
        iso=iso,
        flash_power=None,
        exposure_off_ev=0.0,
        share=share,
        share_both=m(0.44, 0.29, 0.58),
        eyes=(eye("near", 0.0, share, near), eye("far", 26.6, m(0.46, 0.31, 0.6), far)),
        focus_from_near_iris_mm=4.0,
        depth_front_mm=23.0,
        depth_behind_mm=24.0,
        background_blur_mm=26.4,
        background_blur_share=0.047,
        frozen_by_flash=False,
        ghost_share=None,
        gives_up=gives_up,
    )


MARKS = (
    ("nose tip", -14.0),
    ("near lashes", -6.0),
    ("near brow", -3.0),
    ("near iris", 0.0),
    ("near corner", 9.0),
    ("far lashes", 20.0),
    ("far iris", 26.6),
    ("far corner", 44.0),
    ("near ear", 88.0),
    ("far ear", 138.0),
    ("background", 1200.0),
)


def marks(front: float = -19.0, behind: float = 28.0) -> tuple[PlanMark, ...]:
    """Return the depth line's places."""
    return tuple(
        PlanMark(name=name, depth_mm=depth, inside=front <= depth <= behind)
        for name, depth in MARKS
    )


def curve() -> tuple[ShutterPoint, ...]:
    """Return a share for every third stop from 1/2000 s to 1/15 s."""
    points = []
    for k in range(22):
        time_s = 2 ** (k / 3) / 2000
        motion = 1 / (1 + (time_s * 90) ** 2.2)
        share = motion * 0.83 * (1 - 0.35 * max(0.0, (3 - k) / 3))
        points.append(
            ShutterPoint(
                shutter_s=time_s,
                share=m(share, share * 0.78, min(1.0, share * 1.14)),
                motion_share=m(motion, motion * 0.85, min(1.0, motion * 1.1)),
                reciprocal=k == 14,
                allowed=k > 1,
            )
        )
    return tuple(points)


SCALING = tuple(
    ScaledShutter(framing=framing, distance_mm=distance, shutter_s=shutter)
    for framing, distance, shutter in (
        ("head", 1300.0, 1 / 500),
        ("head-and-shoulders", 2000.0, 1 / 320),
        ("half", 3200.0, 1 / 200),
        ("full", 6300.0, 1 / 100),
    )
)
WAYS = tuple(
    LightWay(
        way=way,
        f_number=f,
        shutter_s=time,
        iso=iso,
        reach_cm=m(reach, reach * 0.6, reach * 1.4),
        share=m(share, share - 0.12, share + 0.1),
        noise_cost_cm=noise,
    )
    for way, f, time, iso, reach, share, noise in (
        ("now", 4.0, 1 / 320, 800.0, 71.0, 0.66, 3.0),
        ("more light", 4.0, 1 / 320, 400.0, 72.0, 0.67, 2.0),
        ("wider aperture", 2.8, 1 / 320, 400.0, 66.0, 0.57, 2.0),
        ("slower shutter", 4.0, 1 / 160, 400.0, 52.0, 0.41, 2.0),
    )
)
RECOMPOSE = Recompose(
    turn_deg=7.4,
    behind_mm=16.6,
    share=m(0.38, 0.25, 0.52),
    text=f"Focusing in the middle and turning 7° to the eye puts the plane 17{THIN}mm behind it: "
    "put the focus area on the eye, or step back before you turn.",
)
FRAMES = (
    FramesNeeded(
        for_what="one that holds",
        frames=3,
        chance=m(0.96, 0.9, 0.99),
        seconds_s=3.0,
        text=f"Take 3 of each pose: one of them holds 60{THIN}cm in 96{THIN}% of poses "
        f"(90–99), in 3{THIN}s.",
    ),
    FramesNeeded(
        for_what="everybody's eyes open",
        frames=2,
        chance=m(0.97, 0.93, 0.99),
        seconds_s=2.0,
        text=f"2 frames for open eyes: 97{THIN}% (93–99).",
    ),
)
QUALITY = LightQuality(
    source_deg=34.0,
    penumbra_mm=11.0,
    name="soft",
    falloff_ev=0.4,
    text=f"Soft: the source looks 34° wide, the nose's shadow has an edge of 11{THIN}mm. Kind to "
    "skin; turn it further round for texture.",
)


def sitter_plan() -> SitterPlan:
    """Return a plan for a child, head turned by 25 degrees."""
    best = setting(4.0, 1 / 320, 800.0, m(0.66, 0.52, 0.78))
    return SitterPlan(
        request=SitterRequest(
            kit=KIT,
            light=PlanLight(exposure_ev=8.3),
            sitter=PlanSitter(age_years=4.0),
            framing="head-and-shoulders",
            yaw_deg=25.0,
            background_mm=1200.0,
        ),
        distance_mm=2000.0,
        field_height_mm=560.0,
        framing="head-and-shoulders",
        far_iris_mm=26.6,
        settings=(
            best,
            setting(
                2.8,
                1 / 320,
                400.0,
                m(0.57, 0.43, 0.7),
                "Gives up 9 frames in 100 and the far eye; gains a stop of ISO.",
            ),
            setting(
                5.6,
                1 / 320,
                1600.0,
                m(0.64, 0.5, 0.76),
                "Gives up a stop of ISO; holds the far eye more often.",
            ),
        ),
        marks=marks(),
        curve=curve(),
        scaling=SCALING,
        ways=WAYS,
        recompose=RECOMPOSE,
        frames=FRAMES,
        light=QUALITY,
        background=f"The background blurs to discs of 26{THIN}mm, 4.7{THIN}% of the frame's "
        f"height. 60{THIN}cm further from the wall, f/5.6 blurs it as f/4 does now.",
        limits=(f"The child moves: more than 1/320{THIN}s would help only with more light.",),
        sentence=f"f/4, 1/320{THIN}s, ISO 800: two frames in three hold 60{THIN}cm.",
        advice="Their movement costs most: talk them still, then shoot three.",
        cautions=CAUTIONS,
        notes=NOTES,
    )


def group_plan(
    rows: int = 2, faces: int = 4, *, front_mm: float = 3500.0, lean: bool = True
) -> GroupPlan:
    """Return a plan for a group in straight rows."""
    kit = replace(KIT, focal_length_mm=50.0)
    focus = front_mm * 1.07
    inside = (focus - 170.0, focus + 190.0)
    at = [front_mm + 600.0 * k for k in range(rows)]
    leans = [
        (d - inside[1] if d > inside[1] else min(0.0, d - inside[0])) if lean else 0.0 for d in at
    ]
    best = replace(
        setting(5.6, 1 / 160, 800.0, m(0.72, 0.6, 0.81)),
        share_both=None,
        eyes=tuple(
            replace(
                setting(5.6, 1 / 160, 800, m(0.8, 0.7, 0.9)).eyes[0],
                name=f"row {k + 1}",
                depth_mm=600.0 * k,
            )
            for k in range(rows)
        ),
        focus_from_near_iris_mm=focus - front_mm,
        depth_front_mm=170.0,
        depth_behind_mm=190.0,
        background_blur_mm=None,
        background_blur_share=None,
    )
    return GroupPlan(
        request=GroupRequest(
            kit=kit,
            light=PlanLight(exposure_ev=9.0),
            distance_mm=front_mm,
            rows=rows,
            faces_per_row=faces,
            lean=lean,
        ),
        settings=(
            best,
            replace(
                best,
                f_number=4.0,
                iso=400.0,
                share=m(0.41, 0.3, 0.52),
                gives_up="Gives up the back row; gains a stop of ISO.",
            ),
            replace(
                best,
                f_number=8.0,
                iso=1600.0,
                share=m(0.7, 0.58, 0.8),
                gives_up="Costs a stop of ISO; nobody need lean.",
            ),
        ),
        focus_distance_mm=focus,
        focus_into_share=(focus - front_mm) / max(at[-1] - front_mm, 1.0),
        rows=tuple(
            GroupRow(
                row=k + 1,
                distance_mm=d,
                inside=inside[0] <= d <= inside[1],
                lean_cm=lean_mm / 10,
                share=m(0.8, 0.7, 0.88),
            )
            for k, (d, lean_mm) in enumerate(zip(at, leans, strict=True))
        ),
        places=tuple(
            GroupPlace(
                row=k + 1,
                place=p + 1,
                across_mm=550.0 * (p - (faces - 1) / 2) + (275.0 if k % 2 and faces > 1 else 0.0),
                distance_mm=d,
                inside=inside[0] <= d <= inside[1],
                lean_mm=lean_mm,
            )
            for k, (d, lean_mm) in enumerate(zip(at, leans, strict=True))
            for p in range(faces)
        ),
        stops=tuple(
            GroupStop(f_number=f, out=out, share=share)
            for f, out, share in (
                (2.8, tuple(range(1, rows + 1)), m(0.08, 0.03, 0.16)),
                (4.0, (rows,), m(0.41, 0.3, 0.52)),
                (5.6, (), m(0.72, 0.6, 0.81)),
                (8.0, (), m(0.7, 0.58, 0.8)),
            )
        ),
        f_number_without_lean=8.0,
        arc_cost_mm=0.0,
        marks=tuple(
            PlanMark(name=f"row {k + 1}", depth_mm=600.0 * k, inside=inside[0] <= d <= inside[1])
            for k, d in enumerate(at)
        ),
        curve=curve(),
        ways=WAYS,
        frames=(
            FramesNeeded(
                for_what="both",
                frames=4,
                chance=m(0.95, 0.9, 0.98),
                seconds_s=4.0,
                text=f"Take 4: in one of them everybody's eyes are open and hold 60{THIN}cm, "
                f"95{THIN}% (90–98). The rule people ÷ 3 says 3.",
            ),
        ),
        recompose=None,
        light=QUALITY,
        limits=(),
        sentence=f"f/5.6, 1/160{THIN}s, ISO 800, focus {focus / 1000:.2f}{THIN}m from the lens: "
        f"everybody holds 60{THIN}cm in 7 frames of 10.",
        advice="The front row leans back a little, the back row forward: then both are inside.",
        cautions=(
            "Nobody leans, or stands on furniture, to reach a focus plane; a child on a stool has "
            "an adult beside it.",
            *CAUTIONS[2:],
        ),
        notes=NOTES,
    )


def burst_plan() -> BurstPlan:
    """Return a lean-in for a sitter with glasses."""
    sitter = sitter_plan()
    return BurstPlan(
        request=BurstRequest(sitting=sitter.request, caught="glasses"),
        setting=replace(
            sitter.settings[0],
            f_number=2.0,
            iso=200.0,
            depth_front_mm=11.0,
            depth_behind_mm=11.5,
            focus_from_near_iris_mm=0.0,
        ),
        start_mm=-24.0,
        end_mm=30.0,
        travel_mm=54.0,
        frames=12,
        seconds_s=1.4,
        chance=m(0.97, 0.9, 0.99),
        still_chance=m(0.71, 0.55, 0.84),
        steps=tuple(
            BurstStep(
                frames=n,
                from_mm=-24.0,
                to_mm=30.0,
                chance=m(c, c - 0.1, min(1, c + 0.06)),
                seconds_s=n / 8,
            )
            for n, c in (
                (2, 0.42),
                (3, 0.55),
                (4, 0.67),
                (6, 0.8),
                (8, 0.89),
                (12, 0.97),
                (16, 0.98),
            )
        ),
        limits=(),
        sentence=f"12 frames while you lean in by 5.4{THIN}cm: one holds 60{THIN}cm.",
        advice="Start 24 mm in front of the iris, lean slowly, one second and a half.",
        cautions=("Hold on to something while you lean; no flash above three a second.",),
        notes=NOTES[:2],
    )
