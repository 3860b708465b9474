"""How much a frame counts: frames of a burst share their fate, and old sittings may count less."""

from collections.abc import Sequence

import numpy as np

from eyeplane.learn.mixed import Array

BURST_SHARE = 0.5  # how much frames of a burst share: then n of them count as 2 n / (n + 1)
DAY_S = 86_400.0


def effective_weights(bursts: Sequence[int]) -> Array:
    """Return how much each frame counts, since frames of a burst share their fate.

    Parameters
    ----------
    bursts : sequence of int
        The frames' bursts.

    Returns
    -------
    ndarray
        1 for a single frame, 2 / (n + 1) in a burst of n.

    Notes
    -----
    The design effect 1 + (n − 1) ρ with ρ = `BURST_SHARE` (Kish 1965, Survey Sampling).
    """
    _, groups = np.unique(np.asarray(bursts), return_inverse=True)
    size = np.bincount(groups)[groups]
    return np.asarray(1.0 / (1.0 + (size - 1) * BURST_SHARE), dtype=np.float64)
