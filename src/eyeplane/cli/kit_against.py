"""`eyeplane kit against`: two kits held against each other, and shown."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from eyeplane.cli.check_options import take_outputs
from eyeplane.cli.check_show import show_check
from eyeplane.cli.kit_against_sides import NamedSide, check_two, named_side
from eyeplane.cli.plan_light import continuous_ev
from eyeplane.cli.plan_values import Typed
from eyeplane.cli.prints_sold import prints_sold
from eyeplane.cli.typed import LightGiven
from eyeplane.deliver.against_content import against_content
from eyeplane.errors import InputError
from eyeplane.kit.against import Asked, compare_kits
from eyeplane.kit.against_sides import Exposing, KitSide
from eyeplane.records.kit_against import AgainstResult

SEED = 20_261_126  # of every comparison, so that the same question has the same answer


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
    a, b = (named_side(letter, given[letter.lower()], outputs.store) for letter in ("A", "B"))
    check_two(a, b)
    exposing = _exposing(given)
    sold, said = prints_sold(given["sells"], outputs.store)
    asked = Asked(
        exposing=exposing,
        viewing_cm=None if given["viewing_cm"] == "diagonal" else float(given["viewing_cm"]),
        f_numbers=tuple(_number(one) for one in given["f_numbers"]),
        sold_cm=sold,
    )
    result = _compared(a, b, asked)
    assumed = [
        f"Assumed of {one.letter}: {', '.join(one.assumed)}." for one in (a, b) if one.assumed
    ]
    result = replace(result, notes=(*result.notes, *assumed, *([said] if said else [])))
    return show_check("against", result, against_content(result), outputs)


def _compared(a: NamedSide, b: NamedSide, asked: Asked) -> AgainstResult:
    generator = np.random.default_rng(SEED)
    return compare_kits(_side(a), _side(b), asked, generator)


def _side(one: NamedSide) -> KitSide:
    if one.side is not None:
        return one.side
    raise InputError(
        f"'{one.text}' is a folder or a frame, and kits are compared by their numbers here",
        where=one.letter,
        hint="Give a remembered kit or a description like '24 MP, f/2.8'",
    )


def _exposing(given: Mapping[str, Any]) -> Exposing:
    iso = given["iso"]
    light = given["light"].value
    if not isinstance(light, LightGiven):
        raise InputError("one light is needed, no range", where="--light", hint="Give 'EV 9'")
    settled = None if iso is None else _number(iso)
    if light.flash and settled is None:
        raise InputError(
            "with flash the ISO does not follow from light and time",
            where="--light",
            hint="Give --iso instead, like --iso 100",
        )
    return Exposing(
        exposure_ev=0.0 if light.flash else continuous_ev(light),
        shutter_s=_number(given["shutter"]),
        iso=settled,
    )


def _number(typed: Typed) -> float:
    if not isinstance(typed.value, float):
        raise InputError(
            f"'{typed.text}' is a range, and one value is needed",
            where="--f-number, --shutter or --iso",
            hint="Give one; --f-number may be given again",
        )
    return typed.value
