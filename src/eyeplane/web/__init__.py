"""The pages on set and at the desk: a local site that shows what the other layers found."""

from eyeplane.web.app import make_app
from eyeplane.web.site import Site

__all__ = ["Site", "make_app"]
