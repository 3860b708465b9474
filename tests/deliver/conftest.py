"""The hand-made sitting and plans, for this folder's tests."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest


def _load(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, Path(__file__).with_name(f"{name}.py"))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def builder() -> ModuleType:
    """Return the module that makes sittings by hand."""
    return _load("sitting_builder")


@pytest.fixture(scope="session")
def plans() -> ModuleType:
    """Return the module that makes plans by hand."""
    return _load("plan_builder")


@pytest.fixture(scope="session")
def reader() -> ModuleType:
    """Return the module that reads sheets and PDF files."""
    return _load("sheet_reader")
