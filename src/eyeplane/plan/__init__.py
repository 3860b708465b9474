"""From kit, light, sitter and print to settings that will hold, and how often."""

from eyeplane.plan.as_json import plan_json, plan_schema, table_json
from eyeplane.plan.group import plan_group
from eyeplane.plan.sitter import plan_sitter

__all__ = ["plan_group", "plan_json", "plan_schema", "plan_sitter", "table_json"]
