"""The hand-made sitting, for this folder's tests."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest


def _load() -> ModuleType:
    spec = importlib.util.spec_from_file_location(
        "sitting_builder", Path(__file__).with_name("sitting_builder.py")
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["sitting_builder"] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def builder() -> ModuleType:
    """Return the module that makes sittings by hand."""
    return _load()
