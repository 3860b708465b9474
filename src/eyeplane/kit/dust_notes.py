"""What limits an answer about dust, in whole sentences."""

from collections.abc import Sequence

from eyeplane.kit.dust_even import GOOD_F_NUMBER, EvenFrame
from eyeplane.kit.dust_frame import SensorFrame
from eyeplane.kit.dust_stack import Searched

FAINT = 0.02  # of the light: the depth that a good check should find


def even_notes(searched: Searched, frames: Sequence[EvenFrame]) -> tuple[str, ...]:
    """Return what limits an answer from frames of an even surface.

    Parameters
    ----------
    searched : Searched
        What was found.
    frames : sequence of EvenFrame
        The frames used.

    Returns
    -------
    tuple of str
        Most important first, perhaps none.
    """
    notes = list(frame_notes([one.frame for one in frames], frames[0].f_number))
    f_number = frames[0].f_number
    if f_number is not None and f_number < 10.5:
        notes.append(
            f"At f/{f_number:g} small dust casts wide, pale shadows: at f/{GOOD_F_NUMBER:g} they "
            "are easier to find."
        )
    if len(frames) == 1:
        notes.append(
            "From one frame, a speck on the wall and dust on the sensor are told apart by the "
            "shape of the shadow only: with three frames, the camera moved in between, only dust "
            "stays in its place."
        )
    elif searched.views < len(frames):
        notes.append(
            "Some frames show the same piece of the surface, so that its own specks stay in place "
            "as dust does: move the camera a little between frames."
        )
    if searched.textured:
        notes.append(
            "The surface has bright specks that look like dust turned to light, so only shadows "
            "that stand out more than they do are counted: throw the surface further out of focus."
        )
    long_lines = sum(not line.inside for line in searched.lines)
    if long_lines:
        counted = "A long line is" if long_lines == 1 else f"{long_lines} long lines are"
        notes.append(
            f"{counted} in the surface, as a fold or the edge of a shadow would be; "
            "not counted as dust."
        )
    return tuple(notes)


def sitting_notes(
    searched: Searched, frames: Sequence[SensorFrame], f_number: float | None
) -> tuple[str, ...]:
    """Return what limits an answer from a whole sitting.

    Parameters
    ----------
    searched : Searched
        What was found.
    frames : sequence of SensorFrame
        One of each framing.
    f_number : float or None
        The smallest aperture among them.

    Returns
    -------
    tuple of str
        Most important first.
    """
    return (
        f"Found in what stays in place over {searched.views} framings; hairs are not looked for "
        f"this way. For small dust photograph an even surface at f/{GOOD_F_NUMBER:g}.",
        *frame_notes(frames, f_number),
    )


def frame_notes(frames: Sequence[SensorFrame], f_number: float | None) -> tuple[str, ...]:
    """Return what the files do not tell.

    Parameters
    ----------
    frames : sequence of SensorFrame
        The frames used.
    f_number : float or None
        Their aperture.

    Returns
    -------
    tuple of str
        Perhaps none.
    """
    first, notes = frames[0], []
    if any(frame.turned for frame in frames):
        notes.append(
            "The file holds the frame already turned upright, and whether it was turned to the "
            "left or to the right is lost: where to wipe cannot be told. Hold the camera level."
        )
    if any(frame.cut for frame in frames):
        notes.append(
            "The frame was cropped after it was taken: places are of the crop, not of the sensor. "
            "Give the frame as the camera wrote it."
        )
    if f_number is None:
        notes.append(
            "The file does not say the aperture, so what a shadow does at another one cannot be "
            "told: say it with --taken-at, like --taken-at f/16."
        )
    if first.pitch_um is None:
        notes.append(
            "How far apart the pixels are is not known, so places and sizes are told as shares "
            "of the frame and in pixels: write the body into the kit table."
        )
    return tuple(notes)
