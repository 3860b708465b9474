"""`eyeplane kit against`: two kits held against each other, and shown."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from eyeplane.asked.plan_light import continuous_ev
from eyeplane.asked.plan_values import Typed
from eyeplane.asked.prints_sold import prints_sold
from eyeplane.asked.typed import LightGiven
from eyeplane.cli.check_options import take_outputs
from eyeplane.cli.check_show import show_check
from eyeplane.cli.kit_against_compared import compared
from eyeplane.cli.kit_against_sides import check_two, named_side
from eyeplane.deliver.against_content import against_content
from eyeplane.errors import InputError
from eyeplane.kit.against import Asked
from eyeplane.kit.against_sides import Exposing


def against_command(given: dict[str, Any]) -> int:
    """Hold one kit against another, and show it.

    Parameters
    ----------
    given : dict
        The options as click read them.

    Returns
    -------
    int
        Exit status 0.

    Raises
    ------
    InputError
        If a kit is not known, lacks a number, or cannot be held against the other.
    StoreError
        If the store cannot be used.
    """
    outputs = take_outputs(given)
    if outputs.kit is not None:
        raise InputError(
            "two kits are held against each other here",
            where="--kit",
            hint="Name them one after the other, A and B",
        )
    exposing = _exposing(given)
    f_numbers = tuple(_number(one, "--f-number") for one in given["f_numbers"])
    a, b = (named_side(letter, given[letter.lower()], outputs.store) for letter in ("A", "B"))
    check_two(a, b)
    sold, said = prints_sold(given["sells"], outputs.store)
    asked = Asked(
        exposing=exposing,
        viewing_cm=None if given["viewing_cm"] == "diagonal" else float(given["viewing_cm"]),
        f_numbers=f_numbers,
        sold_cm=sold,
    )
    typed = {name: given[name] for name in ("light", "shutter", "iso") if given[name] is not None}
    result, notes = compared((a, b), asked, typed, outputs.store)
    known = [line for one in (a, b) for line in one.said]
    result = replace(result, notes=(*result.notes, *notes, *known, *([said] if said else [])))
    return show_check("against", result, against_content(result), outputs)


def _exposing(given: Mapping[str, Any]) -> Exposing:
    light = given["light"].value
    if not isinstance(light, LightGiven):
        raise InputError("one light is needed, no range", where="--light", hint="Give 'EV 9'")
    iso = None if given["iso"] is None else _number(given["iso"], "--iso")
    if light.flash and iso is None:
        raise InputError(
            "with flash the ISO does not follow from light and time",
            where="--light",
            hint="Give --iso instead, like --iso 100",
        )
    return Exposing(
        exposure_ev=0.0 if light.flash else continuous_ev(light),
        shutter_s=_number(given["shutter"], "--shutter"),
        iso=iso,
    )


def _number(typed: Typed, option: str) -> float:
    if not isinstance(typed.value, float):
        raise InputError(
            f"'{typed.text}' is a range, and one value is needed", where=option, hint="Give one"
        )
    return typed.value
