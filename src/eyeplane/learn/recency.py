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


def recency_weights(
    captured_s: Sequence[float | None], *, half_life_days: float | None
) -> list[float]:
    """Return how much each sitting counts, by its age beyond the newest one.

    Parameters
    ----------
    captured_s : sequence of float or None
        When each was shot, in seconds; None where the files do not say.
    half_life_days : float or None
        Age at which a sitting counts half, > 0; None: all count whole.

    Returns
    -------
    list of float
        In (0, 1]; a sitting of unknown age counts as the oldest one of known age.

    Notes
    -----
    Age is counted from the newest sitting, not from today: the same sittings say the same
    tomorrow, and a summer without a sitting makes nothing less sure.

    Examples
    --------
    >>> recency_weights([0.0, 30 * 86400.0], half_life_days=30.0)
    [0.5, 1.0]
    """
    known = [one for one in captured_s if one is not None]
    if half_life_days is None or not known:
        return [1.0] * len(captured_s)
    newest, oldest = max(known), min(known)
    return [
        2.0 ** (((oldest if one is None else one) - newest) / DAY_S / half_life_days)
        for one in captured_s
    ]
