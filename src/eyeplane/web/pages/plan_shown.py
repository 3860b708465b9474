"""What the plan page shows of a plan: answer, drawings that can be dragged, and all the rest."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from markupsafe import Markup

from eyeplane.deliver.plan_contents import content_of
from eyeplane.deliver.plan_drag import Drawing, View
from eyeplane.deliver.plan_drawings import drawings_of, view_of
from eyeplane.deliver.plan_page import SCREEN_MM, TYPE_MM
from eyeplane.deliver.plan_picture import Picture
from eyeplane.deliver.sheet_svg import svg
from eyeplane.web.figured_markup import figured
from eyeplane.web.figures import Figures
from eyeplane.web.pages.plan_fields import distance_of_mm
from eyeplane.web.pages.plan_made import Made, in_page_words
from eyeplane.web.pages.plan_table import best_words, table_of
from eyeplane.web.words import words

DIGITS = 4  # of numbers that a script gets: a tenth of a px


def shown(one: Made, views: Mapping[str, str], *, whole: bool = True) -> dict[str, Any]:
    """Return what templates show of a plan.

    Parameters
    ----------
    one : Made
        What came of the address.
    views : mapping of str to str
        By name of a drawing what it is to show of the world, while something is dragged.
    whole : bool
        Whether the pictures further down are drawn too.

    Returns
    -------
    dict
        The same names whatever came of it.
    """
    blank: dict[str, Any] = {
        "sentence": "",
        "landed": one.landed,
        "content": None,
        "drawings": (),
        "figures": (),
        "sweep": None,
        "notes": _notes(one),
        "lacks_wall": False,
    }
    if one.sweep is not None:
        return {**blank, "sentence": best_words(one.sweep), "sweep": table_of(one.sweep)}
    if one.plan is None:
        return {**blank, "sentence": words("plan.cannot")}
    content = content_of(one.plan, "")
    found = drawings_of(one.plan, distance_mm=distance_of_mm(one.plan), views=_views(views))
    return {
        **blank,
        "sentence": content.sentence,
        "content": content,
        "drawings": tuple((name, drawing, _drawn(drawing)) for name, drawing in found.items()),
        "figures": tuple(
            (picture, drawn_picture(picture)) for picture in content.pictures if whole
        ),
        "lacks_wall": "set" in found and len(found["set"].handles) == 1,
    }


def drawn_data(
    drawings: Sequence[tuple[str, Drawing, Markup]], figures: Figures
) -> dict[str, dict[str, Any]]:
    """Return what a script needs of the drawings.

    Parameters
    ----------
    drawings : sequence of (str, Drawing, Markup)
        As `shown` gives them.
    figures : Figures
        How this visitor sees lengths and decimals.

    Returns
    -------
    dict
        By name: the drawing as SVG, and `handle_data`.
    """
    return {
        name: {"svg": figured(str(drawn), figures), **handle_data(drawing, figures)}
        for name, drawing, drawn in drawings
    }


def handle_data(drawing: Drawing, figures: Figures) -> dict[str, Any]:
    """Return what of a drawing can be dragged, in shares of its sides.

    Parameters
    ----------
    drawing : Drawing
        The drawing.
    figures : Figures
        How this visitor sees lengths and decimals.

    Returns
    -------
    dict
        Width of the sheet in mm, its view, where the world begins and ends on it, and handles.
    """
    high = drawing.sheet.height_mm
    return {
        "width": _rounded(drawing.sheet.width_mm),
        "start": _rounded(drawing.view.start_mm, 3),
        "scale": drawing.view.scale,
        "head": _rounded(drawing.head_mm / high),
        "axis": _rounded(drawing.axis_mm / high),
        "foot": _rounded(drawing.foot_mm / high),
        "handles": [
            {
                **{k: v for k, v in asdict(handle).items() if k not in ("x_mm", "per_ratio")},
                "x": _rounded(handle.x_mm / drawing.sheet.width_mm),
                "per": handle.per_ratio,
                "spoken": figures.text(handle.spoken),
                "label": words(f"plan.handle.{handle.what}"),
            }
            for handle in drawing.handles
        ],
    }


def _rounded(value: float, digits: int = DIGITS) -> float:
    return round(value, digits)


def _views(texts: Mapping[str, str]) -> dict[str, View]:
    found = {name: view_of(text) for name, text in texts.items()}
    return {name: view for name, view in found.items() if view is not None}


def _drawn(drawing: Drawing) -> Markup:
    return Markup(svg(drawing.sheet, spoken=drawing.spoken))  # noqa: S704  all foreign is escaped


def drawn_picture(picture: Picture) -> Markup:
    """Return a picture drawn for a phone held at arm's length.

    Parameters
    ----------
    picture : Picture
        The picture.

    Returns
    -------
    Markup
        As SVG.
    """
    return Markup(svg(picture.draw(SCREEN_MM, TYPE_MM), spoken=picture.spoken))  # noqa: S704  as above


def _notes(one: Made) -> tuple[str, ...]:
    """Return what was assumed, recalled and learned, in the words of the form."""
    if one.asked is None:
        return ()
    asked, kind = one.asked, one.entered.kind
    taken = [words("plan.assumed", what=", ".join(asked.assumed))] if asked.assumed else []
    recalled = [words("plan.recalled", what=what) for what in asked.recalled]
    return tuple(in_page_words(line, kind) for line in (*taken, *recalled, *asked.learned))


def as_data(drawing: Drawing, figures: Figures) -> str:
    """Return what of a drawing can be dragged as the text of an attribute.

    Parameters
    ----------
    drawing : Drawing
        The drawing.
    figures : Figures
        How this visitor sees lengths and decimals.

    Returns
    -------
    str
        JSON.
    """
    return json.dumps(handle_data(drawing, figures))
