"""All layers in their order, outermost first."""

from typing import TYPE_CHECKING

from starlette.middleware import Middleware

from eyeplane.web.guard.bodies import Bounded
from eyeplane.web.guard.ending import Ending
from eyeplane.web.guard.entry import Entry
from eyeplane.web.guard.headers import Secured
from eyeplane.web.guard.hosts import OwnHost
from eyeplane.web.guard.machine import own_names
from eyeplane.web.guard.origin import OwnOrigin

if TYPE_CHECKING:
    from eyeplane.web.site import Site


def guard_layers(site: "Site") -> list[Middleware]:
    """Return what stands between the network and the pages of a site.

    Parameters
    ----------
    site : Site
        The site.

    Returns
    -------
    list of Middleware
        Headers, then whom the request is meant for, how large it is, who asks, and whence.
    """
    names = own_names() if site.studio else frozenset()
    entry = [Middleware(Entry, codes=site.codes)] if site.studio else []
    return [
        Middleware(Secured),
        Middleware(OwnHost, names=names, network=site.studio),
        Middleware(Bounded),
        *entry,
        Middleware(OwnOrigin),
        Middleware(Ending, streams=site.streams),
    ]
