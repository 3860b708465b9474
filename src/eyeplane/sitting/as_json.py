"""A sitting as plain JSON values, in the shape that sitting.schema.json holds."""

import json
import math
from importlib import resources
from typing import Any

from eyeplane.records import (
    Blur,
    Catchlight,
    CauseChance,
    Change,
    ColourBlur,
    Exposure,
    Eye,
    EyeReading,
    FaceAnswer,
    FaceReading,
    Finding,
    Ghost,
    Habit,
    KitFocus,
    LightSource,
    Sitting,
    SittingFrame,
    SittingTally,
    SpotReading,
    Veil,
    plain_measured,
    plain_number,
)

FORMAT_VERSION = 1  # raised when a reader of the JSON would have to change


def sitting_json(sitting: Sitting) -> dict[str, Any]:
    """Return a sitting as what `json.dumps` takes.

    Parameters
    ----------
    sitting : Sitting
        Measured and answered.

    Returns
    -------
    dict
        Valid by `sitting_schema`; every number finite and rounded to what it is worth: 0.01 px,
        0.1 cm, 0.1 mm, 0.1 degrees, chances to 0.0001, light and contrast to three figures.
    """
    viewing = sitting.viewing
    return {
        "format_version": FORMAT_VERSION,
        "sitting": {
            "name": sitting.name,
            "goal_cm": plain_number(sitting.goal_cm, 1),
            "print_cm": plain_number(viewing.print_cm, 1),
            "viewing_cm": "diagonal"
            if viewing.distance_cm is None
            else plain_number(viewing.distance_cm, 1),
            "frames": len(sitting.frames),
            "measured": sitting.measured,
            "nobody": sitting.nobody,
            "unreadable": sitting.unreadable,
            "holding": sitting.holding,
            "causes": [{"cause": c.cause, "frames": c.frames} for c in sitting.causes],
            "median_reach_cm": plain_measured(sitting.median_reach_cm, 1),
            "lines": list(sitting.lines),
            "tally": _tally(sitting.tally),
            "kits": [_kit(kit) for kit in sitting.kits],
            "habits": [_habit(habit) for habit in sitting.habits],
            "changes": [_change(change) for change in sitting.changes],
        },
        "frames": [_frame(frame) for frame in sitting.frames],
    }


def sitting_schema() -> dict[str, Any]:
    """Return the JSON schema (draft 2020-12) of what `sitting_json` returns.

    Returns
    -------
    dict
        The schema, with a description of each field and its unit.
    """
    file = resources.files("eyeplane.sitting").joinpath("sitting.schema.json")
    schema: dict[str, Any] = json.loads(file.read_text(encoding="utf-8"))
    return schema


def _frame(frame: SittingFrame) -> dict[str, Any]:
    reading, answer = frame.reading, frame.answer
    return {
        "path": reading.path,
        "companions": list(frame.companions),
        "status": reading.status,
        "reason": reading.reason,
        "burst": frame.burst,
        "best_of_burst": frame.best_of_burst,
        "size_px": [reading.width_px, reading.height_px],
        "exif": _exif(reading.exposure),
        "reach_cm": plain_measured(answer.reach_cm, 1),
        "holds_diagonal": answer.holds_diagonal,
        "cause": answer.cause,
        "sentence": answer.sentence,
        "advice": answer.advice,
        "findings": [_finding(finding) for finding in answer.findings],
        "stop_for_all": plain_number(answer.stop_for_all, 1),
        "veil": _veil(reading.veil),
        "faces": [
            _face(face, said) for face, said in zip(reading.faces, answer.faces, strict=True)
        ],
        "spots": [_spot(spot) for spot in reading.spots],
    }


def _tally(tally: SittingTally | None) -> dict[str, Any] | None:
    if tally is None:
        return None
    return {
        "frames": tally.frames,
        "holding": tally.holding,
        "closed": tally.closed,
        "duplicates": tally.duplicates,
        "soft": [{"cause": c.cause, "frames": c.frames} for c in tally.soft],
        "nobody": tally.nobody,
        "unreadable": tally.unreadable,
    }


def _kit(kit: KitFocus) -> dict[str, Any]:
    return {
        "kit": kit.kit,
        "setting": kit.setting,
        "frames": kit.frames,
        "bias_mm": plain_measured(kit.bias_mm, 1),
        "spread_mm": plain_measured(kit.spread_mm, 1),
    }


def _habit(habit: Habit) -> dict[str, Any]:
    return {
        "kind": habit.kind,
        "text": habit.text,
        "advice": habit.advice,
        "frames": habit.frames,
    }


def _change(change: Change) -> dict[str, Any]:
    return {
        "text": change.text,
        "holding": change.holding,
        "expected": plain_measured(change.expected, 1),
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {"kind": finding.kind, "text": finding.text, "advice": finding.advice}


def _veil(veil: Veil | None) -> dict[str, Any] | None:
    if veil is None:
        return None
    return {
        "columns": veil.columns,
        "rows": veil.rows,
        "orientation": veil.orientation,
        "darkest": [_figures(number) for number in veil.darkest],
        "level": [_figures(number) for number in veil.level],
        "coarse": [_figures(number) for number in veil.coarse],
        "fine": [_figures(number) for number in veil.fine],
    }


def _exif(exposure: Exposure) -> dict[str, Any]:
    return {
        "exposure_time_s": _finite(exposure.exposure_time_s),
        "f_number": _finite(exposure.f_number),
        "focal_length_mm": _finite(exposure.focal_length_mm),
        "focal_length_35mm_mm": _finite(exposure.focal_length_35mm_mm),
        "iso": _finite(exposure.iso),
        "flash_fired": exposure.flash_fired,
        "exposure_bias_ev": _finite(exposure.exposure_bias_ev),
        "subject_distance_mm": _finite(exposure.subject_distance_mm),
        "subject_area_px": None
        if exposure.subject_area_px is None
        else list(exposure.subject_area_px),
        "body": exposure.body,
        "lens": exposure.lens,
        "body_serial": exposure.body_serial,
        "lens_serial": exposure.lens_serial,
        "captured_at": exposure.captured_at,
    }


def _face(reading: FaceReading, answer: FaceAnswer) -> dict[str, Any]:
    face = reading.face
    return {
        "box_px": [plain_number(number, 1) for number in face.box_px],
        "sitter": answer.sitter,
        "yaw_deg": plain_number(face.yaw_deg.value, 1),
        "near": face.near or ("left" if face.yaw_deg.value >= 0 else "right"),
        "near_certain": face.near is not None,
        "distance_mm": plain_measured(face.distance_mm, 0),
        "offset_mm": plain_measured(answer.offset_mm, 1),
        "cause": answer.cause,
        "reach_cm": plain_measured(answer.reach_cm, 1),
        "name": answer.name,
        "inside": answer.inside,
        "behind_mm": plain_measured(answer.behind_mm, 1),
        "stop": plain_number(answer.stop, 1),
        "chances": [_chance(chance) for chance in answer.chances],
        "findings": [_finding(finding) for finding in answer.findings],
        "lights": [_light(light) for light in answer.lights],
        "ghost": _ghost(reading.ghost),
        "level": None if reading.level is None else _figures(reading.level),
        "glasses": reading.glasses,
        "eyes": [_eye(place, eye) for place, eye in zip(face.eyes, reading.eyes, strict=True)],
    }


def _chance(chance: CauseChance) -> dict[str, Any]:
    return {
        "cause": chance.cause,
        "prior": plain_number(chance.prior, 4),
        "evidence": plain_number(chance.evidence, 1),
        "chance": plain_number(chance.chance, 4),
        "because": chance.because,
    }


def _light(light: LightSource) -> dict[str, Any]:
    return {
        "clock_hours": _hours(light.clock_hours),
        "off_axis_deg": plain_measured(light.off_axis_deg, 1),
        "width_deg": plain_measured(light.width_deg, 1),
        "height_deg": plain_measured(light.height_deg, 1),
        "share": plain_number(light.share, 2),
        "hardness": light.hardness,
    }


def _ghost(ghost: Ghost | None) -> dict[str, Any] | None:
    if ghost is None:
        return None
    return {
        "core_share": plain_measured(ghost.core_share, 2),
        "length_px": plain_measured(ghost.length_px, 2),
        "angle_deg": _angle(ghost.angle_deg),
        "gain": plain_number(ghost.gain, 1),
    }


def _eye(place: Eye, reading: EyeReading) -> dict[str, Any]:
    return {
        "side": place.side,
        "iris_px": [plain_number(number, 2) for number in place.iris_px],
        "iris_diameter_px": plain_number(place.iris_diameter_px.value, 2),
        "open": place.open,
        **_blur(reading.blur),
        "colour": _colour(reading.colour),
        "catchlights": [_catchlight(light) for light in reading.catchlights],
    }


def _colour(colour: ColourBlur | None) -> dict[str, Any] | None:
    if colour is None:
        return None
    return {
        "red_px2": plain_measured(colour.red_px2, 2),
        "blue_px2": plain_measured(colour.blue_px2, 2),
    }


def _catchlight(light: Catchlight) -> dict[str, Any]:
    return {
        "at_px": [plain_number(number, 2) for number in light.at_px],
        "width_px": plain_measured(light.width_px, 2),
        "height_px": plain_measured(light.height_px, 2),
        "share": plain_number(light.share, 2),
    }


def _spot(spot: SpotReading) -> dict[str, Any]:
    return {"at_px": [plain_number(number, 2) for number in spot.at_px], **_blur(spot.blur)}


def _blur(blur: Blur) -> dict[str, Any]:
    return {
        "blur_px": plain_measured(blur.size_px, 2),
        "kind": blur.kind,
        "angle_deg": _angle(blur.angle_deg),
        "disc_beside_px": plain_measured(blur.disc_beside_px, 2),
    }


def _angle(angle_deg: float | None) -> float | None:
    rounded_deg = plain_number(angle_deg, 1)
    return None if rounded_deg is None else rounded_deg % 180.0  # 179.97 rounds to 180


def _hours(clock_hours: float) -> float:
    return round(clock_hours, 1) % 12.0 or 12.0  # 0.04 rounds to 0, which is 12


def _figures(number: float) -> float | None:
    """Return a light or a contrast to three figures: it spans many powers of ten."""
    finite = _finite(number)
    return None if finite is None else float(f"{finite:.3g}")


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
