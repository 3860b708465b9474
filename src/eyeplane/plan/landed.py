"""What it does to a plan's settings if the focus lands off the plane it is put on."""

from dataclasses import replace
from functools import lru_cache

from eyeplane.plan import words
from eyeplane.plan.burst_setup import with_setting
from eyeplane.plan.group_choice import group_choice
from eyeplane.plan.group_frames import beliefs_of
from eyeplane.plan.group_shares import row_shares
from eyeplane.plan.scene import Settings
from eyeplane.plan.search import search
from eyeplane.plan.sitter import best_setting
from eyeplane.plan.sitter_words import dialled, dialled_settings
from eyeplane.records import GroupRequest, Measured, PlanSetting, SitterRequest

LEAST_MM = 0.5  # off by less is on it, as the depth line says it
KEPT = 16  # settings for a focus on its plane: the same while the plane is dragged


def focus_landed(request: SitterRequest | GroupRequest) -> str:
    """Return what the settings for a focus on its plane hold where it lands elsewhere.

    Parameters
    ----------
    request : SitterRequest or GroupRequest
        With a focus bias.

    Returns
    -------
    str
        A sentence with both shares; empty where the focus lands on its plane.

    Raises
    ------
    InputError
        If it cannot be planned.
    """
    bias = request.kit.focus_bias_mm
    if bias is None or abs(bias.value) < LEAST_MM:
        return ""
    kit = replace(request.kit, focus_bias_mm=None)
    if isinstance(request, GroupRequest):
        return _group(request, _on_best_plane(replace(request, kit=kit)), bias.value)
    return _sitter(request, _on_eye(replace(request, kit=kit)), bias.value)


@lru_cache(maxsize=KEPT)
def _on_eye(request: SitterRequest) -> tuple[Settings, PlanSetting]:
    found = search(request)
    return found.setting, best_setting(found)


@lru_cache(maxsize=KEPT)
def _on_best_plane(request: GroupRequest) -> tuple[Settings, float]:
    choice = group_choice(request)
    return choice.best, float(choice.shares[choice.order[0]])


def _sitter(request: SitterRequest, on_eye: tuple[Settings, PlanSetting], bias_mm: float) -> str:
    settings, before = on_eye
    after = best_setting(search(with_setting(request, settings)))
    eyes = after.eyes if request.eyes == "both" else after.eyes[:1]
    eye = min(eyes, key=lambda one: one.reach_cm.value)
    reach = eye.reach_cm
    return (
        f"With the focus {_off(bias_mm)} the near iris, the settings for a focus on it "
        f"({dialled(before)}) {_held(request, after.share, before.share.value)}; the {eye.name} "
        f"eye then reaches {words.whole_cm(reach.value)} ({_ends(reach)})."
    )


def _group(request: GroupRequest, on_plane: tuple[Settings, float], bias_mm: float) -> str:
    settings, before = on_plane
    f_number, shutter_s = float(settings.f_number[0]), float(settings.shutter_s[0])
    iso = float(settings.iso[0])
    settled = replace(request.choice, f_number=f_number, shutter_s=shutter_s)
    if request.light.kind == "flash":
        settled = replace(request.choice, f_number=f_number, iso=iso)
    if None not in (request.choice.f_number, request.choice.shutter_s, request.choice.iso):
        settled = request.choice
    choice = group_choice(replace(request, choice=settled))
    after = row_shares(choice.frames, choice.best, beliefs_of(choice.frames))[0]
    worst = min(range(len(after.rows)), key=lambda row: after.rows[row].value)
    side = "" if request.rows == 1 else f"; row {worst + 1} holds least"
    return (
        f"With the focus {_off(bias_mm)} the best plane, the settings for a focus on it "
        f"({dialled_settings(settings)}) {_held(request, after.everybody, before)}{side}."
    )


def _held(request: SitterRequest | GroupRequest, after: Measured, before_share: float) -> str:
    low, high = words.percent_ends(after.low, after.high)
    goal = words.print_cm(request.promise.print_cm)
    return (
        f"hold {goal} in {words.percent(after.value)} of frames ({low}–{high}) "
        f"instead of {words.percent(before_share)}"
    )


def _off(bias_mm: float) -> str:
    return f"{words.length(abs(bias_mm))} {'behind' if bias_mm > 0 else 'in front of'}"


def _ends(reach: Measured) -> str:
    low, high = (words.whole_cm(end).partition(words.THIN)[0] for end in (reach.low, reach.high))
    return f"{low}–{high}"
