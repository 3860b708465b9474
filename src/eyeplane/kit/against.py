"""One kit held against another at the print: reach, parts of the difference, and what is seen."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from eyeplane.errors import InputError
from eyeplane.kit.against_notes import kit_notes
from eyeplane.kit.against_parts import (
    Parts,
    different,
    exchanged,
    reach_of,
    shares_of_difference,
    spreads_of,
)
from eyeplane.kit.against_seen import (
    PrintedFrame,
    Viewers,
    curve_of,
    interval,
    seen_from,
    sold_prints,
)
from eyeplane.kit.against_sides import (
    Beliefs,
    Exposing,
    KitSide,
    apertures,
    draw_beliefs,
    frame_noise,
    glass_spread_um,
)
from eyeplane.kit.against_told import (
    best_step_ratio,
    curve_ends_cm,
    parts_told,
    sharper_of,
    verdict_of,
)
from eyeplane.light.camera_words import f_stop
from eyeplane.optics.kit_blur import SHARPENED_PX2, diffraction_um
from eyeplane.records import STANDARD_VIEWING_CM
from eyeplane.records.kit_against import (
    AgainstKit,
    AgainstResult,
    AgainstWay,
    WayKind,
)

FloatArray = NDArray[np.float64]

FULL_STOPS = (1.4, 2.0, 2.8, 4.0, 5.6, 8.0, 11.0)  # looked at beside what was asked for
SAME_DEPTH_RATIO = 1.05  # of the sensors: nearer than this, same depth is the same aperture


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is asked of two kits.

    Attributes
    ----------
    exposing : Exposing
        The light both work in.
    viewing_cm : float or None
        The viewer's distance; None: 1.5 times the print's diagonal.
    f_numbers : tuple of float
        Apertures that both are to be used at; empty: each at its best.
    sold_cm : tuple of (float, float)
        Long and short side of each print that is sold.
    """

    exposing: Exposing
    viewing_cm: float | None = STANDARD_VIEWING_CM
    f_numbers: tuple[float, ...] = ()
    sold_cm: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """Both kits, what is asked, and what is believed."""

    a: KitSide
    b: KitSide
    asked: Asked
    beliefs: Beliefs

    @property
    def reach_viewing_cm(self) -> float:
        """Return the distance that reaches are told for."""
        return self.asked.viewing_cm or STANDARD_VIEWING_CM

    @property
    def viewers(self) -> Viewers:
        """Return who looks."""
        return Viewers(viewing_cm=self.asked.viewing_cm, seen_ratio=self.beliefs.seen_ratio)


def compare_kits(
    a: KitSide, b: KitSide, asked: Asked, generator: np.random.Generator
) -> AgainstResult:
    """Return one kit held against another, both described.

    Parameters
    ----------
    a, b : KitSide
        The two.
    asked : Asked
        How they are used, who looks, and what is sold.
    generator : numpy.random.Generator
        For what is believed; seeded by the caller, so that the same question has one answer.

    Returns
    -------
    AgainstResult
        For a near eye in focus that does not move: what the kits can do.

    Raises
    ------
    InputError
        If an aperture that was asked for is none of both.

    Notes
    -----
    Both take in the same part of the scene, in the same light and for the same time. Blur of the
    lens, diffraction and pixels is taken on the sensor and enlarged to the print; noise keeps its
    power for each share of the frame, so a finer pixel is noisier and its grain smaller.
    """
    _check_apertures(a, b, asked.f_numbers)
    case = _Case(a=a, b=b, asked=asked, beliefs=draw_beliefs(generator, a, b))
    ways = tuple(_way(case, *one) for one in _ways(case))
    first = ways[0]
    ends = curve_ends_cm(first, asked.sold_cm)
    return AgainstResult(
        a=_kit(a),
        b=_kit(b),
        viewing_cm=asked.viewing_cm,
        reach_viewing_cm=case.reach_viewing_cm,
        ways=ways,
        curve=curve_of(*_frames(case, first), ends, case.viewers),
        verdict=verdict_of(first.sold),
        best_sold_step_ratio=best_step_ratio(ways),
        habit=None,
        common_field_mm=None,
        notes=kit_notes(a, b, ways),
    )


def reach_alone_cm(
    side: KitSide, *, f_number: float, iso: float, viewing_cm: float = STANDARD_VIEWING_CM
) -> float:
    """Return how far one kit reaches, by the best guess of its numbers.

    Parameters
    ----------
    side : KitSide
        The kit.
    f_number, iso : float
        Aperture and sensitivity.
    viewing_cm : float
        Distance from eye to print.

    Returns
    -------
    float
        Longest print edge in cm up to which a near eye in focus and still looks sharp.
    """
    best = np.zeros(1)
    believed = (best, frame_noise(side, iso, best), best + SHARPENED_PX2)
    parts = _made_of(side, f_number, (f_number,), believed)
    return float(reach_of(parts, viewing_cm=viewing_cm)[0])


def _check_apertures(a: KitSide, b: KitSide, f_numbers: Sequence[float]) -> None:
    for f_number in f_numbers:
        for name, side in (("A", a), ("B", b)):
            widest, smallest = side.f_numbers
            if not widest * 0.99 <= f_number <= smallest * 1.01:
                where = "its chart was shot from" if side.glass else "it has"
                raise InputError(
                    f"{f_stop(f_number)} cannot be looked at with {name} ({side.name}): {where} "
                    f"{f_stop(widest)} to {f_stop(smallest)}",
                    where="--f-number",
                    hint="Give an aperture that both have, or the widest and smallest of the kit",
                )


def _ways(case: _Case) -> list[tuple[WayKind, float, float]]:
    """Return how the kits are used: kind and both apertures, the one asked for first."""
    best: tuple[WayKind, float, float] = ("best of each", *_best(case))
    asked: list[tuple[WayKind, float, float]] = [
        ("same aperture", one, one) for one in case.asked.f_numbers
    ]
    (a_wide, a_small), (b_wide, b_small) = case.a.f_numbers, case.b.f_numbers
    marks = [n for n in FULL_STOPS if max(a_wide, b_wide) <= n <= min(a_small, b_small)]
    others: list[tuple[WayKind, float, float]] = [
        ("same aperture", one, one) for one in marks if one not in case.asked.f_numbers
    ]
    depth = _same_depth(case, (asked[0][1] if asked else best[1]))
    return [*asked[:1], best, *asked[1:], *depth, *others]


def _best(case: _Case) -> tuple[float, float]:
    """Return the aperture at which each reaches farthest."""
    found = []
    for number, side in enumerate((case.a, case.b)):
        reach = {
            one: float(reach_of(_parts(case, number, one, (one,)), viewing_cm=50.0)[0])
            for one in apertures(side)
        }
        found.append(max(reach, key=lambda one: reach[one]))
    return found[0], found[1]


def _same_depth(case: _Case, a_f_number: float) -> list[tuple[WayKind, float, float]]:
    """Return the way in which both have one depth of field: apertures go with the sensor."""
    ratio = case.b.kit.sensor_long_mm / case.a.kit.sensor_long_mm
    if max(ratio, 1 / ratio) < SAME_DEPTH_RATIO:
        return []
    b_f_number = a_f_number * ratio
    widest, smallest = case.b.f_numbers
    if not widest * 0.97 <= b_f_number <= smallest * 1.03:
        return []
    return [("same depth", a_f_number, b_f_number)]


def _parts(case: _Case, number: int, f_number: float, at: Sequence[float]) -> Parts:
    """Return kit A (0) or B (1) at an aperture; its lens is told at the other one too."""
    side, beliefs = (case.a, case.b)[number], case.beliefs
    iso = case.asked.exposing.iso_at(side.kit, f_number)
    noise = frame_noise(side, iso, beliefs.noise_z[number])
    believed = (beliefs.glass_z[number], noise, beliefs.sharpened_px2[number])
    return _made_of(side, f_number, at, believed)


def _made_of(
    side: KitSide, f_number: float, at: Sequence[float], believed: tuple[FloatArray, ...]
) -> Parts:
    """Return a kit at an aperture, its lens told at several; believed: lens, noise, sharpening."""
    glass_z, noise, sharpened_px2 = believed
    long_um = 1000.0 * side.kit.sensor_long_mm
    return Parts(
        pixels=(float(max(side.kit.long_edge_px, side.kit.short_edge_px)), sharpened_px2),
        glass={n: glass_spread_um(side, n, glass_z) / long_um for n in at},
        aperture=(f_number, float(diffraction_um(f_number)) / long_um),
        noise=noise,
    )


def _way(case: _Case, kind: WayKind, a_f_number: float, b_f_number: float) -> AgainstWay:
    at = (a_f_number, b_f_number)
    a, b = (_parts(case, number, f_number, at) for number, f_number in enumerate(at))
    reach = case.reach_viewing_cm
    names = different(a, b)
    shares = shares_of_difference(
        lambda has: reach_of(exchanged(a, b, has), viewing_cm=reach), names
    )
    a_cm, b_cm = reach_of(a, viewing_cm=reach), reach_of(b, viewing_cm=reach)
    difference = interval(b_cm - a_cm)
    frames = _printed(case.a, a), _printed(case.b, b)
    exposing = case.asked.exposing
    return AgainstWay(
        kind=kind,
        a_f_number=a_f_number,
        b_f_number=b_f_number,
        a_iso=exposing.iso_at(case.a.kit, a_f_number),
        b_iso=exposing.iso_at(case.b.kit, b_f_number),
        a_reach_cm=interval(a_cm),
        b_reach_cm=interval(b_cm),
        difference_cm=difference,
        sharper=sharper_of(difference),
        parts=parts_told(shares),
        seen_from=seen_from(*frames, case.viewers),
        sold=sold_prints(*frames, case.asked.sold_cm, case.viewers),
    )


def _printed(side: KitSide, parts: Parts) -> PrintedFrame:
    edges = (side.kit.long_edge_px, side.kit.short_edge_px)
    return PrintedFrame(
        spreads=spreads_of(parts),
        long_edge_px=np.asarray(float(max(edges))),
        short_edge_px=np.asarray(float(min(edges))),
    )


def _frames(case: _Case, way: AgainstWay) -> tuple[PrintedFrame, PrintedFrame]:
    at = (way.a_f_number or 0.0, way.b_f_number or 0.0)
    sides = (case.a, case.b)
    a, b = (_printed(sides[n], _parts(case, n, at[n], at)) for n in (0, 1))
    return a, b


def _kit(side: KitSide) -> AgainstKit:
    edges = (side.kit.long_edge_px, side.kit.short_edge_px)
    return AgainstKit(
        name=side.name,
        long_edge_px=max(edges),
        short_edge_px=min(edges),
        sensor_long_mm=side.kit.sensor_long_mm,
        glass=side.source,
    )
