"""One kit as it is held against another: pixels, sensor, lens and light, under many beliefs."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from eyeplane.light.camera_values import F_NUMBERS
from eyeplane.light.noise import ISO_SPREAD, noise_contrast
from eyeplane.optics import special
from eyeplane.optics.just_seen import STEP_RATIO
from eyeplane.optics.kit_blur import SHARPENED_PX2, believed_glass_um
from eyeplane.records import Measured, PlanKit
from eyeplane.records.kit_against import GlassSource

FloatArray = NDArray[np.float64]

Z90 = 1.645  # half an interval of 90 % over the standard deviation
LEAST_LOG_SD = 0.02  # of a measured glass: what no interval of a chart goes below; our own
# How unsure it is what sharpening in the camera gives back: x / 1.9 nine times in ten. Files of
# cameras differ by 0.08 px² around it (see how frames are measured); from memory.
SHARPENED_LOG_SD = 0.4
DRAWS = 80  # sets of beliefs: an end of an interval is right to an eighth of its half


@dataclass(frozen=True, slots=True, kw_only=True)
class KitSide:
    """A kit, described.

    Attributes
    ----------
    name : str
        What the photographer calls it.
    kit : PlanKit
        Pixels, sensor, lens and limits.
    glass : tuple of (float, Measured)
        Apertures, and the Gaussian spread in µm that a chart showed there; empty: the kit's own
        number, or a usual lens.
    """

    name: str
    kit: PlanKit
    glass: tuple[tuple[float, Measured], ...] = ()

    @property
    def source(self) -> GlassSource:
        """Return where the blur of the lens comes from.

        Returns
        -------
        {"measured", "typed", "usual"}
            A chart, the photographer, or a usual lens.
        """
        if self.glass:
            return "measured"
        return "usual" if self.kit.glass_um is None else "typed"

    @property
    def f_numbers(self) -> tuple[float, float]:
        """Return the apertures that can be looked at.

        Returns
        -------
        tuple of float
            Widest and smallest: of a chart, those that were shot.
        """
        if not self.glass:
            return self.kit.widest_f_number, self.kit.smallest_f_number
        shot = [f_number for f_number, _ in self.glass]
        return min(shot), max(shot)


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposing:
    """The light both kits work in.

    Attributes
    ----------
    exposure_ev : float
        Exposure value at ISO 100.
    shutter_s : float
        One shutter time for both.
    iso : float or None
        Settled for both: the light is made to suit, as with flash. None: the ISO follows from
        light, time and aperture.
    """

    exposure_ev: float
    shutter_s: float
    iso: float | None = None

    def iso_at(self, kit: PlanKit, f_number: float) -> float:
        """Return the ISO of a kit at an aperture.

        Parameters
        ----------
        kit : PlanKit
            For its lowest ISO.
        f_number : float
            Aperture.

        Returns
        -------
        float
            100 N² / (t 2^EV), at least the kit's lowest.
        """
        if self.iso is not None:
            return max(self.iso, kit.base_iso)
        needed = 100.0 * f_number**2 / (self.shutter_s * 2.0**self.exposure_ev)
        return float(max(needed, kit.base_iso))


@dataclass(frozen=True, slots=True, kw_only=True)
class Beliefs:
    """What is unsure of two kits, as standard normal numbers; the first entry of each is 0.

    Attributes
    ----------
    glass_z, noise_z : tuple of ndarray
        For A and for B; the same where both have the same lens, or the same sensor.
    sharpened_px2 : tuple of ndarray
        Squared spread that sharpening in the camera gives back; the same where both have as many
        pixels.
    seen_ratio : ndarray
        The step that viewers just see, over the usual one.
    """

    glass_z: tuple[FloatArray, FloatArray]
    noise_z: tuple[FloatArray, FloatArray]
    sharpened_px2: tuple[FloatArray, FloatArray]
    seen_ratio: FloatArray


def draw_beliefs(
    generator: np.random.Generator, a: KitSide, b: KitSide, *, draws: int = DRAWS
) -> Beliefs:
    """Return what may be believed of two kits.

    Parameters
    ----------
    generator : numpy.random.Generator
        Seeded by the caller.
    a, b : KitSide
        The two kits: two of the same lens, or sensor, are believed to be alike.
    draws : int
        How many besides the best guess.

    Returns
    -------
    Beliefs
        (1 + draws,): the best guess first. Stratified, so that each spread is met evenly.

    Notes
    -----
    Noise by ISO alone is right to `ISO_SPREAD`; half of its square is taken to be common to all
    sensors (how skin is exposed), half to be one sensor's own. Of sharpening likewise.
    """

    def normal() -> FloatArray:
        ranks = (generator.permutation(draws) + generator.random(draws)) / draws
        return np.concatenate([[0.0], special.ndtri(ranks)])

    glass_a, glass_b, common, own_a, own_b, viewers = (normal() for _ in range(6))
    camera, file_a, file_b = (normal() for _ in range(3))
    half = math.sqrt(0.5)
    if same_sensor(a, b):
        own_b = own_a
    if a.kit.long_edge_px == b.kit.long_edge_px:
        file_b = file_a

    def given_back(own: FloatArray) -> FloatArray:
        return np.asarray(SHARPENED_PX2 * np.exp(SHARPENED_LOG_SD * half * (camera + own)))

    return Beliefs(
        glass_z=(glass_a, glass_a if same_lens(a, b) else glass_b),
        noise_z=(half * (common + own_a), half * (common + own_b)),
        sharpened_px2=(given_back(file_a), given_back(file_b)),
        seen_ratio=np.exp(math.log(STEP_RATIO) / Z90 * viewers),
    )


def same_lens(a: KitSide, b: KitSide) -> bool:
    """Return whether nothing tells two lenses apart.

    Parameters
    ----------
    a, b : KitSide
        The two kits.

    Returns
    -------
    bool
        True where focal length, widest aperture and glass are alike, and no chart was shot.
    """

    def lens(kit: PlanKit) -> tuple[float | None, ...]:
        return kit.focal_length_mm, kit.widest_f_number, kit.glass_um, kit.glass_wide_um

    return lens(a.kit) == lens(b.kit) and not a.glass and not b.glass


def same_sensor(a: KitSide, b: KitSide) -> bool:
    """Return whether nothing tells two sensors apart.

    Parameters
    ----------
    a, b : KitSide
        The two kits.

    Returns
    -------
    bool
        True where sides and pixels are alike.
    """
    return (a.kit.sensor_long_mm, a.kit.long_edge_px) == (b.kit.sensor_long_mm, b.kit.long_edge_px)


def glass_spread_um(side: KitSide, f_number: float, glass_z: FloatArray) -> FloatArray:
    """Return the spread of the glass under many beliefs.

    Parameters
    ----------
    side : KitSide
        The kit.
    f_number : float
        Aperture; of a chart, one between those that were shot.
    glass_z : ndarray
        Standard normal.

    Returns
    -------
    ndarray
        Standard deviation on the sensor in µm. Between two apertures of a chart straight in the
        logarithms of both; either side of an interval is as long as the chart has it, since a
        print's own edges leave a fine lens open downwards more than upwards.
    """
    if not side.glass:
        return np.asarray(believed_glass_um(side.kit, [f_number], glass_z)[0])
    shot = sorted(side.glass, key=lambda one: one[0])
    at = math.log(f_number)
    stops = [math.log(one) for one, _ in shot]
    middle = np.interp(at, stops, [_log(one.value) for _, one in shot])
    down, up = (
        np.interp(at, stops, [_log_sd(one, end) for _, one in shot]) for end in ("low", "high")
    )
    return np.asarray(np.exp(middle + np.where(glass_z > 0, up, down) * glass_z))


def frame_noise(side: KitSide, iso: float, noise_z: FloatArray) -> FloatArray:
    """Return the noise of skin for a frame of one pixel along its long edge, under many beliefs.

    Parameters
    ----------
    side : KitSide
        The kit.
    iso : float
        Sensitivity.
    noise_z : ndarray
        Standard normal.

    Returns
    -------
    ndarray
        Noise contrast of a pixel over the pixels along the long edge: white noise keeps its power
        for each share of the frame's area, so times any number of pixels it is that of a pixel.
    """
    one = noise_contrast(iso=iso, pitch_um=side.kit.pitch_um)
    return np.asarray(float(one) / side.kit.long_edge_px * np.exp(ISO_SPREAD * noise_z))


def apertures(side: KitSide) -> tuple[float, ...]:
    """Return the apertures of a lens that can be looked at.

    Parameters
    ----------
    side : KitSide
        The kit.

    Returns
    -------
    tuple of float
        As engraved, in thirds of a stop, both ends among them; of a chart between those shot.
    """
    widest, smallest = side.f_numbers
    between = [one for one in F_NUMBERS if widest * 1.03 < one < smallest / 1.03]
    return tuple(sorted({widest, *between, smallest}))


def _log(value_um: float) -> float:
    return math.log(max(value_um, 1e-3))


def _log_sd(one: Measured, end: Literal["low", "high"]) -> float:
    return max(abs(_log(getattr(one, end)) - _log(one.value)) / Z90, LEAST_LOG_SD)
