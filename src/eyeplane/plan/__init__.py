"""From kit, light, sitter and print to settings that will hold, and how often.

Each part is loaded when it is first asked for: a sitter's plan is quick to start and needs neither
groups nor sweeps.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from eyeplane.plan.as_json import plan_json, plan_schema, table_json
    from eyeplane.plan.burst import plan_burst
    from eyeplane.plan.group import plan_group
    from eyeplane.plan.landed import focus_landed
    from eyeplane.plan.sitter import plan_sitter
    from eyeplane.plan.steadiness import shake_from_steadiness
    from eyeplane.plan.sweep import sweep_sitter
    from eyeplane.plan.sweep_loops import sweep_burst, sweep_group

__all__ = [
    "focus_landed",
    "plan_burst",
    "plan_group",
    "plan_json",
    "plan_schema",
    "plan_sitter",
    "shake_from_steadiness",
    "sweep_burst",
    "sweep_group",
    "sweep_sitter",
    "table_json",
]
_HOMES = {
    "focus_landed": "landed",
    "plan_burst": "burst",
    "plan_group": "group",
    "plan_json": "as_json",
    "plan_schema": "as_json",
    "plan_sitter": "sitter",
    "shake_from_steadiness": "steadiness",
    "sweep_burst": "sweep_loops",
    "sweep_group": "sweep_loops",
    "sweep_sitter": "sweep",
    "table_json": "as_json",
}


if not TYPE_CHECKING:  # else a type checker would take any name for one of this layer

    def __getattr__(name: str) -> object:
        """Return a public name of this layer from its module."""
        if name not in _HOMES:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
