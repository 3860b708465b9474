"""Whether one frame alone shows a veil over it: seldom, since bright scenes look alike."""

import numpy as np

from eyeplane.diagnose.words import THIN
from eyeplane.records import Finding, Veil

# Scenes have shadows of their own depth; a veil ends all of them at the same light. Of 28 test
# frames none meets all four, the nearest (a hazy view) has 2.5 % to .62 with levels 1 : 1.7.
LEAST_FLOOR = 0.025  # linear light, white = 1, that the darkest places must all share
FLOOR_RATIO = 1.3  # zones whose darkest light lies within this of the floor share it
FLOOR_ZONES = 0.6  # share of the zones that must share it
LEVEL_RATIO = 2.2  # between the brightest and the darkest tenth of those zones: not one even wall
LEAST_FINE = 0.03  # fine contrast of the middle zone: fog and defocus leave less
CLEAN = "a blower first, then a lens cloth, and only the glass in front, never the sensor"


def veil_now(veil: Veil | None) -> Finding | None:
    """Return that a veil lies over a frame, where the frame alone can tell.

    Parameters
    ----------
    veil : Veil or None
        Zones of the frame.

    Returns
    -------
    Finding or None
        None nearly always: for a bright scene, for fog, and for a veil over a part of the frame,
        which only the sitting tells.

    Notes
    -----
    Light that is scattered in the lens is added everywhere, so that the darkest places of zones
    with little else in common end at one and the same light while fine detail stays. A flat
    picture style does just the same, and is named beside it.

    References
    ----------
    ISO 9358:1994, Optics and optical instruments: veiling glare of image forming systems.
    """
    if veil is None or not veil.level:
        return None
    darkest, level = np.asarray(veil.darkest), np.asarray(veil.level)
    floor = float(np.sort(darkest)[min(1, darkest.size - 1)])
    shared = darkest <= FLOOR_RATIO * floor
    if floor < LEAST_FLOOR or shared.mean() < FLOOR_ZONES:
        return None
    dim, bright = np.quantile(level[shared], [0.1, 0.9])
    if bright < LEVEL_RATIO * dim or np.median(veil.fine) < LEAST_FINE:
        return None
    text = (
        f"Nothing in this frame is darker than {100 * floor:.0f}{THIN}% of white, in no part of "
        f"it, though fine detail is there: something veils it, or the picture style is flat."
    )
    advice = (
        "Look for a lamp or the sun shining into the lens, then at the front element; to clean "
        f"it: {CLEAN}."
    )
    return Finding(kind="veil", text=text, advice=advice)
