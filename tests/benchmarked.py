"""Modules of the benchmarks, no part of the package, for tests that run a part of them."""

import importlib
import sys
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).parents[1]


def benchmark(name: str) -> ModuleType:
    """Return a module of benchmarks/accuracy by its name."""
    return of_benchmarks(f"accuracy.{name}")


def of_benchmarks(name: str) -> ModuleType:
    """Return a module of benchmarks by its name."""
    sys.path.insert(0, str(ROOT))
    try:
        return importlib.import_module(f"benchmarks.{name}")
    finally:
        sys.path.remove(str(ROOT))
