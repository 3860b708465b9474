"""Whether frames show the same piece of wall. Arrays are [y, x]."""

from collections.abc import Sequence

import numpy as np

from eyeplane.kit.dust_find import Field
from eyeplane.kit.dust_fit import Cone

SAME_VIEW = 0.25  # correlation of two frames' texture from which they show the same piece of wall


def count_views(fields: Sequence[Field], hidden: Field, cone: Cone) -> int:
    """Return how many different pieces of wall frames show.

    Parameters
    ----------
    fields : sequence of ndarray
        One a frame.
    hidden : ndarray
        Loss by the shadows that were found, which does not count; [y, x].
    cone : Cone
        The cone of light: texture of its size counts.

    Returns
    -------
    int
        1 where all show the same; as many as there are frames where their texture differs, or is
        nothing but noise.
    """
    import cv2  # noqa: PLC0415  slow to load for --help

    step = max(1, round(cone.size_px / 3))
    small: list[Field] = []
    for field in fields:
        height, width = field.shape
        off = cv2.resize(
            field + hidden, (width // step, height // step), interpolation=cv2.INTER_AREA
        )
        off = off - cv2.GaussianBlur(off, (0, 0), 4.0)
        spread = 1.4826 * float(np.median(np.abs(off))) + 1e-9
        one = np.clip(off / spread, -3, 3).ravel()
        if not any(float(np.corrcoef(one, other)[0, 1]) > SAME_VIEW for other in small):
            small.append(one)
    return len(small)
