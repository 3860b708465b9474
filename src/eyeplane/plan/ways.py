"""A stop more light on the sensor, three ways side by side: what each brings in reach and share."""

import numpy as np

from eyeplane.light import F_NUMBERS, ISOS, SHUTTER_TIMES_S
from eyeplane.plan.axes import SAME_MARK
from eyeplane.plan.budget import Budget
from eyeplane.plan.expected import EyeShares
from eyeplane.plan.scene import Settings, joined
from eyeplane.plan.search import Search
from eyeplane.records import LightWay

Marks = tuple[float, ...]


def _step(marks: Marks, value: float, steps: int) -> float | None:
    """Return the mark some third stops from the one nearest to a value; None past the ends."""
    logs = np.log(np.asarray(marks, float))
    place = int(np.argmin(np.abs(logs - np.log(value)))) + steps
    return float(marks[place]) if 0 <= place < len(marks) else None


def way_settings(found: Search) -> tuple[tuple[str, ...], Settings | None]:
    """Return the ways to a stop more light, each with what to set.

    Parameters
    ----------
    found : Search
        The best setting.

    Returns
    -------
    names : tuple of str
        "more light", "wider aperture", "slower shutter", as far as the limits allow them; none at
        base ISO, where light costs no grain.
    settings : Settings or None
        One each, ISO a stop lower; None if there are none.
    """
    kit, best = found.request.kit, found.setting
    iso = _step(ISOS, float(best.iso[0]), -3)
    if iso is None or iso < kit.base_iso * (1 - SAME_MARK):
        return (), None
    names = ["more light"]
    rows = [_changed(best, iso=iso, ghost_share=float(best.ghost_share[0]) / 2)]
    wider = _step(F_NUMBERS, float(best.f_number[0]), -3)
    if wider is not None and wider >= kit.widest_f_number * (1 - SAME_MARK):
        names.append("wider aperture")
        rows.append(_changed(best, iso=iso, f_number=wider))
    slower = _step(SHUTTER_TIMES_S, float(best.shutter_s[0]), -3)
    flash = found.request.light.kind == "flash"
    if not flash and slower is not None and slower <= kit.slowest_s * (1 + SAME_MARK):
        names.append("slower shutter")
        rows.append(_changed(best, iso=iso, shutter_s=slower, motion_s=slower))
    return tuple(names), joined(*rows)


def _changed(best: Settings, **values: float) -> Settings:
    columns = {name: getattr(best, name) for name in Settings.__slots__}
    columns.update({name: np.array([value]) for name, value in values.items()})
    return Settings(**columns)


def ways(
    names: tuple[str, ...],
    settings: Settings,
    held: tuple[EyeShares, ...],
    told: tuple[tuple[Budget, ...], ...],
) -> tuple[LightWay, ...]:
    """Return the ways side by side.

    Parameters
    ----------
    names : tuple of str
        What each is called, "now" first.
    settings : Settings
        One each.
    held : tuple of EyeShares
        Share of frames, one each.
    told : tuple of tuple of Budget
        Budget of the near eye, one each.

    Returns
    -------
    tuple of LightWay
        In that order.
    """
    return tuple(
        LightWay(
            way=name,
            f_number=float(settings.f_number[k]),
            shutter_s=float(settings.shutter_s[k]),
            iso=float(settings.iso[k]),
            reach_cm=told[k][0].reach_cm,
            share=held[k].counting,
            noise_cost_cm=max(told[k][0].without_noise_cm - told[k][0].reach_cm.value, 0.0),
        )
        for k, name in enumerate(names)
    )
