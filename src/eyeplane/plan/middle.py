"""Reach of many frames; flash and room as one line; an order of frames where nothing holds."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from eyeplane.optics import BLUR_POWER, Spreads, reaches_cm
from eyeplane.plan.hold import HoldLimits, base_spreads
from eyeplane.plan.scene import Scene, Settings

FloatArray = NDArray[np.float64]
SingleArray = NDArray[np.float32]

# Disc and line that count alike where nothing holds and only the order of frames is asked.
ORDER_DISC_UM, ORDER_LINE_UM = 1.0, 0.8557  # ratio of their half-contrast sizes
QUANTILES = (0.95, 0.5, 0.05)  # of frames by what blur costs: lowest, middle and highest reach


def reaches_of(
    scene: Scene, settings: Settings, *, disc_um: ArrayLike, line_um: ArrayLike
) -> FloatArray:
    """Return the reach of frames with these discs and lines.

    Parameters
    ----------
    scene : Scene
        Kit and viewer.
    settings : Settings
        As many as asked about, k.
    disc_um, line_um : array_like
        On the sensor; the first axis is that of the settings.

    Returns
    -------
    ndarray
        In cm, in the broadcast shape of disc and line.
    """
    disc, line = np.broadcast_arrays(np.asarray(disc_um, float), np.asarray(line_um, float))
    base = base_spreads(scene.kit, settings.f_number, settings.iso, settings.level)
    more = (slice(None), *(None,) * (disc.ndim - 1))
    pitch = scene.kit.pitch_um
    return reaches_cm(
        Spreads(
            disc_px=disc / pitch,
            line_px=line / pitch,
            gaussian_px=np.asarray(base.gaussian_px)[more],
            airy_px=np.asarray(base.airy_px)[more],
            noise_contrast=np.asarray(base.noise_contrast)[more],
        ),
        long_edge_px=max(scene.kit.long_edge_px, scene.kit.short_edge_px),
        viewing_cm=scene.promise.viewing_cm,
    )


def line_costs(
    settings: Settings, limits: HoldLimits, powered: FloatArray | SingleArray
) -> FloatArray:
    """Return what lines cost: up to 1 the print holds, if nothing else blurs.

    Parameters
    ----------
    settings : Settings
        Any number, k.
    limits : HoldLimits
        Of these settings, none of them 0 (`orderly`).
    powered : ndarray
        (k or 1, …): lines in a second, in µm to the power at which blur adds.

    Returns
    -------
    ndarray
        (k, …): by the same sum as `frame_costs`, the room's longer line beside the flash's
        included.
    """
    more = (slice(None), *(None,) * (powered.ndim - 1))
    cost = ((settings.motion_s / limits.line_um) ** BLUR_POWER)[more] * powered
    add_ghosts(cost, settings, limits, powered)
    return np.asarray(cost)


def add_ghosts(
    cost: FloatArray | SingleArray,
    settings: Settings,
    limits: HoldLimits,
    powered: FloatArray | SingleArray,
) -> None:
    """Add what the room's longer line costs beside the flash's.

    Parameters
    ----------
    cost : ndarray
        (k, …): what frames cost without it; changed in place.
    settings : Settings
        Any number, k.
    limits : HoldLimits
        Of these settings: (k,), or (k, sets) for costs of (k, sets, …). Where one is 0 any number
        comes out.
    powered : ndarray
        (k or 1, …): lines in a second, in µm to the power at which blur adds.
    """
    mixed = np.flatnonzero(settings.ghost_share > 0)
    if not len(mixed):
        return
    some = limits.at(mixed)
    each = (slice(None), *(None,) * (some.line_um.ndim - 1))
    wide = (..., *(None,) * (cost.ndim - some.line_um.ndim))
    line_um = np.where(some.line_um > 0, some.line_um, 1.0)
    ghost = settings.ghost_share[mixed][each]
    by_line = ghost * (settings.shutter_s[mixed][each] / line_um) ** BLUR_POWER
    most = ghost * some.room_share
    lines = powered if len(powered) == 1 else powered[mixed]
    room = np.multiply(by_line.astype(cost.dtype)[wide], lines)
    np.minimum(room, most.astype(cost.dtype)[wide], out=room)
    if len(mixed) == len(settings):
        cost += room
    else:
        cost[mixed] += room


def drawn_um(settings: Settings, limits: HoldLimits, line_um_per_s: FloatArray) -> FloatArray:
    """Return the even line that costs as much as what flash and room draw together.

    Parameters
    ----------
    settings : Settings
        Any number, k.
    limits : HoldLimits
        Of these settings, none of them 0 (`orderly`).
    line_um_per_s : ndarray
        (k or 1, …): lines in a second.

    Returns
    -------
    ndarray
        (k, …), on the sensor; without flash the line in a second times the shutter time.

    Notes
    -----
    A ghost takes no more than its own share of the contrast, however far it is smeared: so a long
    one counts as the line that costs this share on the print promised.
    """
    more = (slice(None), *(None,) * (line_um_per_s.ndim - 1))
    costs = line_costs(settings, limits, line_um_per_s**BLUR_POWER)
    return np.asarray(limits.line_um[more] * costs ** (1.0 / BLUR_POWER))


def orderly(limits: HoldLimits) -> HoldLimits:
    """Return limits that put frames in order even where nothing holds.

    Parameters
    ----------
    limits : HoldLimits
        Some perhaps 0.

    Returns
    -------
    HoldLimits
        With a disc and a line that count alike instead of these.
    """
    good = limits.disc_um > 0
    return HoldLimits(
        disc_um=np.where(good, limits.disc_um, ORDER_DISC_UM),
        line_um=np.where(good, limits.line_um, ORDER_LINE_UM),
        room_share=limits.room_share,
    )
