"""Photographers with known numbers, and what their frames would tell of them."""

import math
from dataclasses import dataclass

import numpy as np

from eyeplane.learn.focus import FocusLessons
from eyeplane.learn.speeds_levels import SpeedLessons


@dataclass(frozen=True, kw_only=True)
class Photographer:
    """A photographer, with numbers in the natural logarithm of the speed.

    Attributes
    ----------
    middle, between_groups, between_sittings, within : float
        Of all groups together, and standard deviations; half of `within`, squared, is a burst's.
    limit, limit_sd : float
        Slowest speed that shows in a frame, and how it differs from frame to frame.
    """

    middle: float = math.log(0.7)
    between_groups: float = 0.4
    between_sittings: float = 0.25
    within: float = 0.9
    limit: float = math.log(0.6)
    limit_sd: float = 0.7


def speeds(
    rng: np.random.Generator,
    groups: tuple[int, ...],
    person: Photographer | None = None,
    *,
    bursts: int = 6,
    frames: int = 3,
) -> tuple[SpeedLessons, list[float]]:
    """Return lessons of groups with so many sittings each, and each group's true middle."""
    person = person or Photographer()
    rows: list[tuple[float, bool, int, int, int]] = []
    truths = []
    sitting = 0
    for group, count in enumerate(groups):
        truths.append(rng.normal(person.middle, person.between_groups))
        for _ in range(count):
            own = rng.normal(truths[-1], person.between_sittings)
            for burst in range(bursts):
                shared = rng.normal(own, person.within * math.sqrt(0.5))
                for _ in range(frames):
                    value = rng.normal(shared, person.within * math.sqrt(0.5))
                    limit = rng.normal(person.limit, person.limit_sd)
                    row = (max(value, limit), bool(value > limit), burst, sitting, group)
                    rows.append(row)
            sitting += 1
    values, seen, in_burst, in_sitting, in_group = (list(part) for part in zip(*rows, strict=True))
    return (
        SpeedLessons(
            values=np.exp(np.array(values, dtype=float)),
            seen=np.array(seen, dtype=bool),
            bursts=[int(one) for one in in_burst],
            sittings=[int(one) for one in in_sitting],
            groups=[int(one) for one in in_group],
        ),
        truths,
    )


def offsets(
    rng: np.random.Generator,
    kits: tuple[tuple[float, float], ...],
    *,
    sittings: int = 3,
    bursts: int = 6,
    frames: int = 3,
) -> FocusLessons:
    """Return lessons of kits of known bias and spread, mm; sittings differ by 1.8 mm."""
    rows: list[tuple[float, float, int, int, int]] = []
    sitting = 0
    for kit, (bias, spread) in enumerate(kits):
        for _ in range(sittings):
            own = rng.normal(bias, math.hypot(1.5, 1.0))
            for burst in range(bursts):
                shared = rng.normal(own, spread * math.sqrt(0.5))
                for _ in range(frames):
                    error = rng.uniform(1.0, 4.0)
                    value = rng.normal(shared, spread * math.sqrt(0.5)) + rng.normal(0, error)
                    rows.append((value, error, burst, sitting, kit))
            sitting += 1
    values, errors, in_burst, in_sitting, in_kit = zip(*rows, strict=True)
    return FocusLessons(
        values_mm=np.array(values),
        errors_mm=np.array(errors),
        bursts=[int(one) for one in in_burst],
        sittings=[int(one) for one in in_sitting],
        groups=[int(one) for one in in_kit],
    )
