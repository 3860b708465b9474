"""A sitting as plain JSON values, in the shape that sitting.schema.json holds."""

import json
import math
from importlib import resources
from typing import Any

from eyeplane.records import (
    Blur,
    Exposure,
    Eye,
    EyeReading,
    FaceAnswer,
    FaceReading,
    Measured,
    Sitting,
    SittingFrame,
    SpotReading,
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
        0.1 cm, 0.1 mm, 0.1 degrees.
    """
    viewing = sitting.viewing
    return {
        "format_version": FORMAT_VERSION,
        "sitting": {
            "name": sitting.name,
            "goal_cm": _rounded(sitting.goal_cm, 1),
            "print_cm": _rounded(viewing.print_cm, 1),
            "viewing_cm": "diagonal"
            if viewing.distance_cm is None
            else _rounded(viewing.distance_cm, 1),
            "frames": len(sitting.frames),
            "measured": sitting.measured,
            "nobody": sitting.nobody,
            "unreadable": sitting.unreadable,
            "holding": sitting.holding,
            "causes": [{"cause": c.cause, "frames": c.frames} for c in sitting.causes],
            "median_reach_cm": _measured(sitting.median_reach_cm, 1),
            "lines": list(sitting.lines),
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
        "reach_cm": _measured(answer.reach_cm, 1),
        "holds_diagonal": answer.holds_diagonal,
        "cause": answer.cause,
        "sentence": answer.sentence,
        "advice": answer.advice,
        "faces": [
            _face(face, said) for face, said in zip(reading.faces, answer.faces, strict=True)
        ],
        "spots": [_spot(spot) for spot in reading.spots],
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
        "box_px": [_rounded(number, 1) for number in face.box_px],
        "sitter": answer.sitter,
        "yaw_deg": _rounded(face.yaw_deg.value, 1),
        "near": face.near or ("left" if face.yaw_deg.value >= 0 else "right"),
        "near_certain": face.near is not None,
        "distance_mm": _measured(face.distance_mm, 0),
        "offset_mm": _measured(answer.offset_mm, 1),
        "cause": answer.cause,
        "reach_cm": _measured(answer.reach_cm, 1),
        "eyes": [_eye(place, eye) for place, eye in zip(face.eyes, reading.eyes, strict=True)],
    }


def _eye(place: Eye, reading: EyeReading) -> dict[str, Any]:
    return {
        "side": place.side,
        "iris_px": [_rounded(number, 2) for number in place.iris_px],
        "iris_diameter_px": _rounded(place.iris_diameter_px.value, 2),
        "open": place.open,
        **_blur(reading.blur),
    }


def _spot(spot: SpotReading) -> dict[str, Any]:
    return {"at_px": [_rounded(number, 2) for number in spot.at_px], **_blur(spot.blur)}


def _blur(blur: Blur) -> dict[str, Any]:
    angle_deg = _rounded(blur.angle_deg, 1)
    return {
        "blur_px": _measured(blur.size_px, 2),
        "kind": blur.kind,
        "angle_deg": None if angle_deg is None else angle_deg % 180.0,  # 179.97 rounds to 180
    }


def _measured(measured: Measured | None, digits: int) -> dict[str, float] | None:
    if measured is None:
        return None
    return {
        "value": round(measured.value, digits),
        "low": round(measured.low, digits),
        "high": round(measured.high, digits),
    }


def _rounded(value: float | None, digits: int) -> float | None:
    number = _finite(value)
    return None if number is None else round(number, digits)


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
