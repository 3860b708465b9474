"""What the focus catches again and again instead of the eye."""

import re
from collections.abc import Sequence

from eyeplane.records import FrameAnswer, Habit, SittingFrame
from eyeplane.sitting import say

FEWEST_BURSTS = 3  # a burst is one event of focusing; fewer make no habit; no source
LEAST_SHARE = 0.05  # of the bursts, at the low end of its interval

CAUGHT = re.compile(r"^Focus caught (?P<what>[^,.;:(]+)")

REMEDIES = (
    (("lash", "brow", "nose", "glasses", "hair"), "Use the smallest focus point, on the iris."),
    (
        ("ear", "collar", "clothes", "background"),
        "Use a single point on the eye, not the wide area.",
    ),
)


def caught_thing(answer: FrameAnswer) -> str:
    """Return what the focus of a frame caught.

    Parameters
    ----------
    answer : FrameAnswer
        Of one frame.

    Returns
    -------
    str
        "the lashes" and the like, by the finding of the deciding face or another sitter; empty
        if nothing is named.
    """
    faces = [face for face in answer.faces if face.sitter]
    if answer.deciding is not None:
        faces.insert(0, answer.faces[answer.deciding])
    for finding in (found for face in faces for found in face.findings):
        match = CAUGHT.match(finding.text) if finding.kind == "caught" else None
        if match:
            return match["what"].strip()
    return ""


def caught(frames: Sequence[SittingFrame]) -> tuple[Habit, ...]:
    """Return what the focus caught in several bursts.

    Parameters
    ----------
    frames : sequence of SittingFrame
        In order of time.

    Returns
    -------
    tuple of Habit
        Kind "caught", most frequent first; a burst counts once for each thing, since its frames
        share their focus.
    """
    shown = [frame for frame in frames if frame.burst is not None]
    bursts = len({frame.burst for frame in shown})
    things: dict[str, list[int]] = {}
    for frame in shown:
        thing = caught_thing(frame.answer)
        if thing:
            things.setdefault(thing, []).append(frame.burst or 0)
    found = []
    for thing, where in sorted(things.items(), key=lambda item: (-len(item[1]), item[0])):
        times = len(set(where))
        low, high = say.share_between(times, bursts)
        if times < FEWEST_BURSTS or low < LEAST_SHARE:
            continue
        found.append(
            Habit(
                kind="caught",
                text=(
                    f"The focus caught {thing} in {say.of_frames(len(where), len(shown))}, in "
                    f"{times} of {bursts} bursts ({say.percent(low, high)} of the times you focus)."
                ),
                advice=_advice(thing),
                frames=len(where),
            )
        )
    return tuple(found)


def _advice(thing: str) -> str:
    for words, advice in REMEDIES:
        if any(word in thing for word in words):
            return advice
    return "Put the focus point on the iris."
