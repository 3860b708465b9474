"""The layer's public names: all there, and only those loaded that are asked for."""

import subprocess
import sys

import pytest

import eyeplane.plan

HEAVY = ("scipy", "eyeplane.plan.group", "eyeplane.plan.sweep", "eyeplane.plan.burst")


def test_every_public_name_is_there() -> None:
    for name in eyeplane.plan.__all__:
        assert callable(getattr(eyeplane.plan, name)), name
    with pytest.raises(AttributeError, match="has no attribute 'plan_wedding'"):
        _ = eyeplane.plan.plan_wedding  # type: ignore[attr-defined]  # there is none


def test_a_sitters_plan_loads_nothing_that_it_does_not_need() -> None:
    code = (
        "from eyeplane.plan import plan_sitter; import sys; "
        f"print([m for m in {HEAVY!r} if m in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
