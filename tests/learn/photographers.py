"""Simulated photographers whose limits are known."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import special

from eyeplane.learn.ladder_fit import LadderFit, fit_ladder


@dataclass(frozen=True, kw_only=True)
class Photographer:
    """Frames hold with (1 − lapse) / (1 + exp((log2 t − log2 half) / scale))."""

    half_s: float = 1 / 60
    scale_stops: float = 0.75
    lapse: float = 0.02

    def limit_stops(self, share: float) -> float:
        """Return log2 of the true limit in s, lapses apart."""
        return math.log2(self.half_s) - self.scale_stops * float(special.logit(share))

    def shoot(self, rng: np.random.Generator, times_s: Sequence[float], each: int) -> LadderFit:
        """Return the fit of one ladder."""
        times = np.repeat(np.asarray(times_s, float), each)
        away = (math.log2(self.half_s) - np.log2(times)) / self.scale_stops
        holds = (1 - self.lapse) * special.expit(away)
        return fit_ladder(times.tolist(), (rng.random(len(times)) < holds).tolist())


WHOLE_S = tuple(1 / n for n in (1000, 500, 250, 125, 60, 30, 15))
SIX_S = tuple(1 / n for n in (500, 250, 125, 60, 30, 15))
THIRDS_S = tuple(1 / n for n in (1250, 800, 640, 400, 320, 200, 160, 100, 80, 50, 40, 25, 20, 15))
FOUR_S = tuple(1 / n for n in (250, 125, 60, 30))
DESIGNS = {
    "7 x 5": (WHOLE_S, 5),
    "6 x 10": (SIX_S, 10),
    "14 x 3": (THIRDS_S, 3),
    "4 x 8": (FOUR_S, 8),
}
