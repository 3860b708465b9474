"""From fitted profiles to the record: sizes, places, depths, with their intervals.

Points are (x, y), arrays [y, x].
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from eyeplane.kit.dust_frame import SensorFrame
from eyeplane.kit.dust_hairs import Line
from eyeplane.kit.dust_places import field_name, place_mm
from eyeplane.kit.dust_profile import COVER_INDEX, COVER_LN_SD, COVER_UM, strip_width_um
from eyeplane.kit.dust_seen import Z90, spread
from eyeplane.kit.dust_stack import Found, Searched
from eyeplane.records import Measured
from eyeplane.records.kit_dust import DustLimit, DustShadow

# The pupil is near, so shadows are cast a little larger than life: by t/n over its distance, for
# 45 to 130 mm; trade fact, from memory.
CAST_SHARE = 0.018
CAST_SD = 0.007
ROUND_LN_SD = 0.02  # of every diameter: dust is not quite round; our own choice


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """How frames were taken, as far as shadows depend on it.

    Attributes
    ----------
    width_px, height_px : int
        Of the stored frame.
    step : int
        Pixels of the frame along each side of one of the field's.
    pitch_um : Measured or None
        Distance of pixel centres.
    f_number : float or None
        Aperture.
    placed : bool
        Whether places on the sensor are known.
    coding_share : float
        Share of the light by which JPEG may change a depth.
    """

    width_px: int
    height_px: int
    step: int
    pitch_um: Measured | None
    f_number: float | None
    placed: bool
    coding_share: float = 0.0

    @classmethod
    def of(cls, frame: SensorFrame, *, step: int, f_number: float | None) -> "Taken":
        """Return how a frame was taken.

        Parameters
        ----------
        frame : SensorFrame
            The frame.
        step : int
            Of its field.
        f_number : float or None
            Aperture, where known.

        Returns
        -------
        Taken
            The numbers alone.
        """
        return cls(
            width_px=frame.width_px,
            height_px=frame.height_px,
            step=step,
            pitch_um=frame.pitch_um,
            f_number=f_number,
            placed=not (frame.cut or frame.turned),
            coding_share=frame.coding_share,
        )

    @property
    def long_edge_px(self) -> int:
        """Return the long edge of the frame.

        Returns
        -------
        int
            In pixels.
        """
        return max(self.width_px, self.height_px)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cast:
    """A shadow with what carries it to other apertures; the record is made of it.

    Attributes
    ----------
    shadow : DustShadow
        Without number and working aperture.
    ratio : Measured
        Diameter of the particle over that of the cone.
    cone_px : Measured
        Diameter of the cone, in pixels of the frame.
    """

    shadow: DustShadow
    ratio: Measured
    cone_px: Measured


def cast_spot(found: Found, taken: Taken, *, ln_sd: float = ROUND_LN_SD) -> Cast:
    """Return a round shadow.

    Parameters
    ----------
    found : Found
        As fitted, in pixels of the field.
    taken : Taken
        How the frames were taken.
    ln_sd : float
        Spread of the logarithm of every diameter beyond noise.

    Returns
    -------
    Cast
        In pixels of the frame and in mm.
    """
    fit, step = found.fit, taken.step
    # Depth goes as (d/b)², so half of its doubt is that of d.
    coded = taken.coding_share / math.sqrt(found.frames) / fit.depth_share / 2
    d, b = fit.particle_px * step, fit.cone_px * step
    d_sd = math.hypot(fit.ln_sd(1, 0), ln_sd, coded)
    b_sd = math.hypot(fit.ln_sd(0, 1), ln_sd)
    ratio = spread(d / b, math.hypot(fit.ln_sd(1, -1), ln_sd, coded))
    outer_sd = fit.ln_sd(d / (d + b), b / (d + b))
    at = ((fit.x_px + 0.5) * step / taken.width_px, (fit.y_px + 0.5) * step / taken.height_px)
    shadow = _shadow(
        at,
        taken,
        kind="spot",
        diameter_px=spread(d + b, math.hypot(outer_sd, ln_sd)),
        depth_share=_squared(ratio),
        lost_px2=spread(math.pi * d**2 / 4, 2 * d_sd),
        particle_px=spread(d, d_sd),
    )
    return Cast(
        shadow=replace(shadow, evidence=fit.gain, frames=found.frames),
        ratio=ratio,
        cone_px=spread(b, b_sd),
    )


def cast_line(line: Line, searched: Searched, taken: Taken, frames: int) -> Cast:
    """Return a hair's shadow.

    Parameters
    ----------
    line : Line
        As found, in pixels of the field.
    searched : Searched
        For the cone of light.
    taken : Taken
        How the frames were taken.
    frames : int
        How many.

    Returns
    -------
    Cast
        In pixels of the frame and in mm.
    """
    step, cone = taken.step, searched.cone
    widths = [
        strip_width_um(loss_share=float(np.clip(depth, 1e-4, 1)), blur_um=cone.size_px)
        for depth in (
            line.depth_share,
            line.depth_share - Z90 * line.depth_sd,
            line.depth_share + Z90 * line.depth_sd,
        )
    ]
    unsure = math.hypot(cone.ln_sd, 0.15)  # of a hair's breadth: it bends and tapers
    width = spread(max(widths[0], 1e-3) * step, unsure)
    ratio = Measured(
        value=widths[0] / cone.size_px,
        low=widths[1] / cone.size_px,
        high=widths[2] / cone.size_px,
    )
    low = float(np.clip(line.depth_share - Z90 * line.depth_sd, 0, 1))
    high = float(np.clip(line.depth_share + Z90 * line.depth_sd, 0, 1))
    at = ((line.x_px + 0.5) * step / taken.width_px, (line.y_px + 0.5) * step / taken.height_px)
    shadow = _shadow(
        at,
        taken,
        kind="hair",
        diameter_px=spread(cone.size_px * step + width.value, unsure),
        depth_share=Measured(value=line.depth_share, low=low, high=high),
        lost_px2=spread(max(line.lost_px2, 1e-3) * step**2, 0.15),
        particle_px=width,
    )
    return Cast(
        shadow=replace(
            shadow,
            length_px=spread(line.length_px * step, 0.1),
            angle_deg=line.angle_deg,
            evidence=line.strength**2,
            frames=frames,
        ),
        ratio=ratio,
        cone_px=spread(cone.size_px * step, cone.ln_sd),
    )


def _shadow(  # noqa: PLR0913  the parts of one record
    at_share: tuple[float, float],
    taken: Taken,
    *,
    kind: str,
    diameter_px: Measured,
    depth_share: Measured,
    lost_px2: Measured,
    particle_px: Measured,
) -> DustShadow:
    inside = tuple(min(1.0, max(0.0, share)) for share in at_share)
    at = (inside[0], inside[1])
    place = None
    if taken.placed and taken.pitch_um is not None:
        place = place_mm(
            at, width_px=taken.width_px, height_px=taken.height_px, pitch_um=taken.pitch_um
        )
    return DustShadow(
        number=0,
        kind="hair" if kind == "hair" else "spot",
        at_share=at,
        field=field_name(at) if taken.placed else "",
        place=place,
        diameter_px=diameter_px,
        length_px=None,
        angle_deg=None,
        depth_share=depth_share,
        lost_px2=lost_px2,
        particle_um=life_size_um(particle_px, taken.pitch_um),
        particle_px=particle_px,
        evidence=0.0,
        frames=1,
        since=None,
        at_work=None,
    )


def life_size_um(length_px: Measured, pitch_um: Measured | None) -> Measured | None:
    """Return a length on the cover from that of its shadow, which is cast a little larger.

    Parameters
    ----------
    length_px : Measured
        On the sensor, in pixels.
    pitch_um : Measured or None
        Distance of pixel centres.

    Returns
    -------
    Measured or None
        In µm; None where the pitch is not known.
    """
    if pitch_um is None:
        return None
    cast = 1 + CAST_SHARE
    sds = [
        math.log(length_px.high / length_px.value) / Z90,
        math.log(pitch_um.high / pitch_um.low) / 2 / Z90,
        CAST_SD,
    ]
    return spread(length_px.value * pitch_um.value / cast, math.hypot(*sds))


def _squared(ratio: Measured) -> Measured:
    value, low, high = (min(1.0, one**2) for one in (ratio.value, ratio.low, ratio.high))
    return Measured(value=value, low=low, high=high)


def cover_air_mm(searched: Searched, taken: Taken) -> tuple[Measured | None, bool]:
    """Return t/n, the thickness of the glass over the sensor as light meets it.

    Parameters
    ----------
    searched : Searched
        For the cone of light.
    taken : Taken
        How the frames were taken.

    Returns
    -------
    tuple of (Measured or None, bool)
        And whether it was told from the shadows; else it is what is usual. None where shadows told
        the cone, but not aperture and pitch to go with it.
    """
    usual = spread(COVER_UM / COVER_INDEX / 1000, COVER_LN_SD)
    if not searched.cone_told:
        return usual, False
    if taken.pitch_um is None or taken.f_number is None:
        return None, False
    size = life_size_um(
        spread(searched.cone.size_px * taken.step, math.hypot(searched.cone.ln_sd, 0.03)),
        taken.pitch_um,
    )
    if size is None:
        return None, False
    scale = taken.f_number / 1000
    return (
        Measured(value=size.value * scale, low=size.low * scale, high=size.high * scale),
        True,
    )


def limit_of(searched: Searched, taken: Taken, sizes_px: tuple[float, float]) -> DustLimit:
    """Return how faint a shadow could have been.

    Parameters
    ----------
    searched : Searched
        What was found, and the limit in each place.
    taken : Taken
        How the frames were taken.
    sizes_px : tuple of float
        Diameters that were looked for, in pixels of the frame.

    Returns
    -------
    DustLimit
        For shadows as wide as the cone of light.
    """
    told = np.minimum(searched.limit, 1.0)
    depth, worst = (float(np.quantile(told, q)) for q in (0.5, 0.95))
    size = spread(searched.cone.size_px * taken.step * math.sqrt(depth), 0.0)
    particle = life_size_um(size, taken.pitch_um)
    return DustLimit(
        depth_share=depth,
        worst_share=worst,
        particle_um=None if particle is None else particle.value,
        smallest_px=sizes_px[0],
        largest_px=sizes_px[1],
        judged_share=float((searched.limit < 1.0).mean()),
    )
