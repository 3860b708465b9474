"""What is said of a lean-in: the answer, what limits it, one advice, cautions and notes."""

from dataclasses import dataclass, replace

from eyeplane.people import FocusError
from eyeplane.plan.burst_windows import ASIDE_SHARE, EYE_PLACE_SHARE
from eyeplane.plan.cautions import cautions
from eyeplane.plan.lean import MOST_LEAN_MM
from eyeplane.plan.sitter_words import dialled
from eyeplane.plan.whose import glass_left_out
from eyeplane.plan.words import (
    THIN,
    count_word,
    length,
    percent,
    percent_ends,
    print_cm,
    shutter,
)
from eyeplane.records import BurstPlan, BurstRequest, Measured

HOPELESS = 0.1  # a chance below this is no plan
BETTER = 0.02  # of chance: less is no difference
SEEN_MM = 0.5  # of travel during one exposure: less than any depth of field here
FEWER_SHARE = 0.8  # of the frames of one lean-in: two shorter ones must do with less
UNEVEN_STEPS = 1.0  # frames a window: fewer, and the plane may jump over the iris

LEAN_SAFELY = (
    "Lean with both feet on the ground: not over a child, not onto furniture, and with the strap "
    "round your neck."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the words need beside the plan.

    Attributes
    ----------
    shown : int
        Frames that the plan tells of.
    back_mm : float
        How far to lean back after focusing; negative: how far in before the first frame.
    frames_per_s : float
        Pace of the camera.
    focus : FocusError
        Where the plane lies after focusing.
    best_lean_mm_per_s : float
        Best pace of the lean for so many frames.
    pair : tuple of (int, Measured) or None
        Fewest frames of each of two lean-ins, focused anew, that reach the chance wanted, and that
        chance; None if no number does.
    still : tuple of (int, Measured)
        Fewest frames that reach it without leaning, focused anew for each, and that chance; as many
        as shown where none do.
    sitter_advice : str
        What the sitter's own plan advises, where leaning in is no plan.
    sitter_notes : tuple of str
        What the sitter's own plan rests on.
    distance_mm : float
        Lens to near iris.
    front_mm, behind_mm : float
        Depths of the plane between which a frame without any motion holds.
    """

    shown: int
    back_mm: float
    frames_per_s: float
    focus: FocusError
    best_lean_mm_per_s: float
    pair: tuple[int, Measured] | None
    still: tuple[int, Measured]
    sitter_advice: str
    sitter_notes: tuple[str, ...]
    distance_mm: float
    front_mm: float
    behind_mm: float


def with_words(plan: BurstPlan, told: Told) -> BurstPlan:
    """Return a plan with its words.

    Parameters
    ----------
    plan : BurstPlan
        Numbers.
    told : Told
        What else is known.

    Returns
    -------
    BurstPlan
        The same with sentence, advice, limits, cautions and notes.
    """
    sitting = plan.request.sitting
    light = sitting.light
    said = cautions(
        flash=light.kind == "flash",
        stands=light.kind == "flash",
        age_years=sitting.sitter.age_years,
    )
    return replace(
        plan,
        sentence=sentence(plan, told),
        advice=advice(plan, told),
        limits=limits(plan, told),
        cautions=(LEAN_SAFELY, *said),
        notes=notes(plan, told),
    )


def pace(lean_mm_per_s: float) -> str:
    """Return a lean speed as it is leaned.

    Parameters
    ----------
    lean_mm_per_s : float
        Speed, > 0.

    Returns
    -------
    str
        For instance "4 cm in one second".
    """
    size_cm = lean_mm_per_s / 10.0
    said = f"{size_cm:.0f}" if size_cm >= 2.95 else f"{size_cm:.1f}".removesuffix(".0")
    return f"{said}{THIN}cm in one second"


def _cm(size_mm: float) -> str:
    """Return a length that somebody leans by: half centimetres below 3 cm, whole ones above."""
    if abs(size_mm) < 2.5:
        return f"0{THIN}cm"
    if abs(size_mm) < 29.0:
        return f"{round(abs(size_mm) / 5.0) / 2:g}{THIN}cm"
    return f"{abs(size_mm) / 10.0:.0f}{THIN}cm"


def _share(chance: Measured, of_what: str) -> str:
    low, high = percent_ends(chance.low, chance.high)
    return f"{percent(chance.value)} of {of_what} ({low}–{high})"


def _seconds(time_s: float) -> str:
    return f"{time_s:.1f}".removesuffix(".0") + f"{THIN}s"


def how(plan: BurstPlan, told: Told) -> str:
    """Return what to do, step by step.

    Parameters
    ----------
    plan : BurstPlan
        Numbers.
    told : Told
        What else is known.

    Returns
    -------
    str
        Without a full stop.
    """
    first = "Focus once and lock it"
    if told.back_mm >= 2.5:
        first += f", lean back {_cm(told.back_mm)}"
    elif told.back_mm <= -2.5:
        first += f", lean in {_cm(told.back_mm)}{' before the first frame' * (told.shown > 1)}"
    if told.shown == 1:
        return f"{first}, and take one frame"
    return (
        f"{first}, then lean in {_cm(plan.travel_mm)} in {_seconds(plan.seconds_s)} while the "
        f"camera takes {told.shown} frames"
    )


def sentence(plan: BurstPlan, told: Told) -> str:
    """Return the answer.

    Parameters
    ----------
    plan : BurstPlan
        Numbers.
    told : Told
        What else is known.

    Returns
    -------
    str
        What to do, and how often a frame holds; or that none does.
    """
    promised = _print(plan)
    if plan.chance.value < HOPELESS:
        none = f"No lean-in holds {promised}: {dialled(plan.setting)} comes nearest"
        if plan.chance.high <= 0.0:
            return f"{none}, and no frame does."
        return f"{none}, and at least one frame holds in {_share(plan.chance, 'bursts')}."
    which = "it holds" if told.shown == 1 else "at least one holds"
    often = _share(plan.chance, "cases" if told.shown == 1 else "such bursts")
    return f"{how(plan, told)}: {which} {promised} in {often}."


def advice(plan: BurstPlan, told: Told) -> str:
    """Return the one thing to change, or what to keep.

    Parameters
    ----------
    plan : BurstPlan
        Numbers.
    told : Told
        What else is known.

    Returns
    -------
    str
        One sentence, or two.
    """
    if max(plan.chance.value, plan.still_chance.value) < HOPELESS:
        return told.sitter_advice
    if told.shown == 1 and plan.still_chance.value >= plan.request.wanted_share:
        return "Leave the lean-in: one frame is enough at these settings."
    if plan.still_chance.value > plan.chance.value + BETTER:
        frames, chance = told.still
        which = f"each of {count_word(frames)} frames: at least one" if frames > 1 else "one frame:"
        return (
            f"Stay where you are and focus anew for {which} holds in {_share(chance, 'cases')}. "
            "A lean-in pays where autofocus is off the same way each time."
        )
    if told.pair is not None and 2 * told.pair[0] < FEWER_SHARE * told.shown:
        return _twice(*told.pair)
    return _pace_advice(plan, told)


def _pace_advice(plan: BurstPlan, told: Told) -> str:
    asked = plan.request.lean_mm_per_s
    if told.best_lean_mm_per_s != asked:
        change = "Lean faster" if told.best_lean_mm_per_s > asked else "Lean more slowly"
        return f"{change}: {pace(told.best_lean_mm_per_s)}."
    if plan.frames is None and told.pair is not None:
        return _twice(*told.pair)
    return f"Keep to {pace(asked)}: it suits {told.frames_per_s:.3g} frames a second."


def _twice(frames: int, chance: Measured) -> str:
    return (
        f"Better lean in twice, {frames} frames each, and focus anew in between: at least one "
        f"holds in {_share(chance, 'cases')}."
    )


def limits(plan: BurstPlan, told: Told) -> tuple[str, ...]:
    """Return what holds the burst back.

    Parameters
    ----------
    plan : BurstPlan
        Numbers.
    told : Told
        What else is known.

    Returns
    -------
    tuple of str
        Whole sentences, perhaps none.
    """
    request, said = plan.request, []
    if told.frames_per_s < request.frames_per_s * (1 - 1e-9):
        said.append(_slow(request, told))
    step = request.lean_mm_per_s / told.frames_per_s
    window = told.behind_mm - told.front_mm
    if step > window * UNEVEN_STEPS > 0:
        said.append(
            f"From frame to frame the plane moves {length(step)}, past a depth of field of "
            f"{length(window)}: it may jump over the iris."
        )
    if plan.frames is None:
        said.append(_short(plan, told, step))
    moved_mm = request.lean_mm_per_s * plan.setting.shutter_s
    if moved_mm > SEEN_MM and not plan.setting.frozen_by_flash:
        said.append(
            f"In {shutter(plan.setting.shutter_s)} the lean itself moves the plane by "
            f"{length(moved_mm)}: a shorter time would not."
        )
    return tuple(said)


def _slow(request: BurstRequest, told: Told) -> str:
    said = f"{told.frames_per_s:.2g}"
    if request.sitting.light.kind == "flash":
        return (
            f"Flash leaves {said} frames a second: it has to recycle, and never fires more than "
            "three times a second."
        )
    return f"The shutter time leaves {said} frames a second."


def _short(plan: BurstPlan, told: Told, step_mm: float) -> str:
    """Return why no number of frames reaches the chance wanted."""
    wanted = percent(plan.request.wanted_share)
    if told.behind_mm <= told.front_mm or plan.chance.value < HOPELESS:
        return f"Not even a frame in the right plane often holds {_print(plan)} at these settings."
    most = (
        f"Farther than {length(MOST_LEAN_MM)} nobody leans" if step_mm * 40 > MOST_LEAN_MM else ""
    )
    missed = (
        f"in {percent(told.focus.miss_share)} of focusings autofocus catches something else, and "
        "then the whole lean-in misses"
    )
    reasons = f"{most}; {missed}" if most else missed[:1].upper() + missed[1:]
    return f"No number of frames of one lean-in reaches {wanted}. {reasons}."


def _print(plan: BurstPlan) -> str:
    return print_cm(plan.request.sitting.promise.print_cm)


def notes(plan: BurstPlan, told: Told) -> tuple[str, ...]:
    """Return on what it rests.

    Parameters
    ----------
    plan : BurstPlan
        Numbers.
    told : Told
        What else is known.

    Returns
    -------
    tuple of str
        Whole sentences.
    """
    focus = told.focus
    side = "behind" if focus.bias_mm > 0 else "in front of"
    where = "on" if abs(focus.bias_mm) < 0.05 else f"{length(focus.bias_mm)} {side}"
    return (
        f"Focus lands {where} the iris on average, give or take {length(focus.spread_mm)} "
        f"({focus.source}); {percent(focus.miss_share)} of focusings catch something else "
        "altogether. Without motion a frame holds while the plane lies from "
        f"{_place(told.front_mm)} to {_place(told.behind_mm)} the near iris.",
        f"Best pace at {told.frames_per_s:.3g} frames a second: {pace(told.best_lean_mm_per_s)}.",
        _lean_blur(plan, told),
        "One focus error counts for the whole lean-in; sway, shake and the sitter's motion are new "
        "in each frame. How evenly one leans is from memory: give or take a fifth.",
        *glass_left_out(plan.request.sitting.kit, plan.setting.f_number, "this lean-in"),
        *(note for note in told.sitter_notes if not note.startswith("Focus scatters")),
    )


def _place(depth_mm: float) -> str:
    return f"{length(depth_mm)} {'behind' if depth_mm > 0 else 'in front of'}"


def _lean_blur(plan: BurstPlan, told: Told) -> str:
    """Return why the lean itself hardly blurs."""
    request = plan.request
    kit, shutter_s = request.sitting.kit, plan.setting.shutter_s
    moved_mm = request.lean_mm_per_s * shutter_s
    grows_um = 1000.0 * EYE_PLACE_SHARE * kit.sensor_long_mm * moved_mm / told.distance_mm
    return (
        f"The lean goes along the lens axis and so draws no line: in {shutter(shutter_s)} it moves "
        f"the plane by {moved_mm:.2g}{THIN}mm and makes the picture larger, which shifts an eye on "
        f"the frame's third by {grows_um:.2g}{THIN}µm; what goes sideways, taken as "
        f"{percent(ASIDE_SHARE)} of it, is counted as sway."
    )
