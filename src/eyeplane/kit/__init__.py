"""Checks of the kit from its own frames: charts, focus, dust, glass, one kit against another.

Each is loaded when it is first asked for: a sheet is printed without loading what reads it.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from eyeplane.kit.against import Asked, compare_kits
    from eyeplane.kit.against_sides import Exposing, KitSide
    from eyeplane.kit.chart import ChartAsked, read_chart
    from eyeplane.kit.chart_design import chart_sheet
    from eyeplane.kit.dust import DustCheck, DustRequest, check_dust
    from eyeplane.kit.focus import check_focus
    from eyeplane.kit.focus_design import focus_sheet
    from eyeplane.kit.focus_frame import read_target
    from eyeplane.kit.found_sheet import FoundSheet
    from eyeplane.kit.glass import GlassCheck, GlassRequest, check_glass
    from eyeplane.kit.sheet_search import find_sheet

__all__ = [
    "Asked",
    "ChartAsked",
    "DustCheck",
    "DustRequest",
    "Exposing",
    "FoundSheet",
    "GlassCheck",
    "GlassRequest",
    "KitSide",
    "chart_sheet",
    "check_dust",
    "check_focus",
    "check_glass",
    "compare_kits",
    "find_sheet",
    "focus_sheet",
    "read_chart",
    "read_target",
]
_LATER = {
    "against": "Asked compare_kits",
    "against_sides": "Exposing KitSide",
    "chart": "ChartAsked read_chart",
    "chart_design": "chart_sheet",
    "dust": "DustCheck DustRequest check_dust",
    "focus": "check_focus",
    "focus_design": "focus_sheet",
    "focus_frame": "read_target",
    "found_sheet": "FoundSheet",
    "glass": "GlassCheck GlassRequest check_glass",
    "sheet_search": "find_sheet",
}
_HOMES = {name: module for module, names in _LATER.items() for name in names.split()}


if not TYPE_CHECKING:  # else a type checker would take any name for one of this layer

    def __getattr__(name: str) -> object:
        """Return a public name from its module."""
        if name not in _HOMES:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)

    def __dir__() -> list[str]:
        """Return all public names, loaded or not."""
        return __all__
