"""Lessons as rows of the store."""

import json
from dataclasses import asdict

from eyeplane.records.lessons import Lesson, SittingLabels

Row = tuple[str, str, str, float | None, str, str]


def lesson_row(one: Lesson) -> Row:
    """Return the row of a lesson.

    Parameters
    ----------
    one : Lesson
        What a frame taught.

    Returns
    -------
    tuple
        Hash, kind, sitting, time, kit and all of it as JSON, without the labels of its sitting.
    """
    told = asdict(one)
    del told["labels"]
    text = json.dumps(told, separators=(",", ":"), allow_nan=False)
    return one.sha256, one.kind, one.sitting, one.captured_s, json.dumps(one.kit), text


def lesson_of(text: str, labels: SittingLabels) -> Lesson | None:
    """Return the lesson of a row.

    Parameters
    ----------
    text : str
        JSON, as `lesson_row` writes it.
    labels : SittingLabels
        Of its sitting.

    Returns
    -------
    Lesson or None
        None if it is of another shape, written by another version.
    """
    try:
        told = json.loads(text)
        told["kit"] = tuple(told["kit"])
        return Lesson(**told, labels=labels)
    except (TypeError, KeyError, ValueError):
        return None


def no_lesson(sitting: str, labels: SittingLabels) -> Lesson:
    """Return what stands for a sitting that has labels and teaches nothing.

    Parameters
    ----------
    sitting : str
        Its folder.
    labels : SittingLabels
        What was said of it.

    Returns
    -------
    Lesson
        Of no frame: with an empty hash.
    """
    return Lesson(
        sha256="", kind="shake", sitting=sitting, captured_s=None, burst=0, value=0.0, labels=labels
    )
