"""All pages' routes, found by themselves: a module in this folder with `routes` is a page."""

from importlib import import_module
from pkgutil import iter_modules

from starlette.routing import BaseRoute

import eyeplane.web.pages as here


def all_routes() -> list[BaseRoute]:
    """Return the routes of every page.

    Returns
    -------
    list of BaseRoute
        In order of the modules' names.
    """
    found: list[BaseRoute] = []
    for module in sorted(one.name for one in iter_modules(here.__path__)):
        found += getattr(import_module(f"{here.__name__}.{module}"), "routes", ())
    return found
