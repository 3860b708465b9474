"""From kit, light, sitter and print to settings that will hold, and how often."""

from eyeplane.plan.as_json import plan_json, plan_schema, table_json
from eyeplane.plan.burst import plan_burst
from eyeplane.plan.group import plan_group
from eyeplane.plan.sitter import plan_sitter
from eyeplane.plan.sweep import sweep_sitter
from eyeplane.plan.sweep_loops import sweep_burst, sweep_group

__all__ = [
    "plan_burst",
    "plan_group",
    "plan_json",
    "plan_schema",
    "plan_sitter",
    "sweep_burst",
    "sweep_group",
    "sweep_sitter",
    "table_json",
]
