"""The pages, one module each; every module has `routes`."""

from eyeplane.web.pages.every import all_routes

__all__ = ["all_routes"]
