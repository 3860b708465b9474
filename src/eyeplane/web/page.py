"""How a page is made: one frame around all, words, figures and addresses at hand in templates."""

import json
from functools import cache
from typing import Any

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from eyeplane.deliver.page_file import templates as deliver_templates
from eyeplane.web import static_files
from eyeplane.web.figured_markup import figured
from eyeplane.web.keys import keys_on
from eyeplane.web.seen import seen_by
from eyeplane.web.site import Site
from eyeplane.web.words import words, words_under


def site_of(request: Request) -> Site:
    """Return the site that a request came to.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    Site
        Its state.
    """
    site: Site = request.app.state.site
    return site


def page(request: Request, template: str, /, *, status: int = 200, **context: Any) -> HTMLResponse:  # noqa: ANN401  whatever a template shows
    """Return a whole page.

    Parameters
    ----------
    request : Request
        The request.
    template : str
        One that extends "base.html.j2".
    status : int
        HTTP status.
    **context : object
        What it shows.

    Returns
    -------
    HTMLResponse
        Escaped; all lengths and numbers in its texts as this visitor is used to them (`figured`).
    """
    return HTMLResponse(markup(request, template, **context), status_code=status)


def markup(request: Request, template: str, /, **context: Any) -> str:  # noqa: ANN401  as above
    """Return a page or a piece of one as text.

    Parameters
    ----------
    request : Request
        The request.
    template : str
        The template.
    **context : object
        What it shows.

    Returns
    -------
    str
        Markup, lengths and numbers as this visitor is used to them.
    """
    site, seen = site_of(request), seen_by(request)
    made = (
        environment()
        .get_template(template)
        .render(
            **{"keys_of": template.partition(".")[0], **context},
            seen=seen,
            site=site,
            current=site.current(),
            here=request.url.path,
        )
    )
    return figured(made, seen.figures)


@cache
def environment() -> Environment:
    """Return the pages' templates: those of this layer, then the parts that reports are made of.

    Returns
    -------
    Environment
        All that is put into a page is escaped.
    """
    shared = deliver_templates()
    made = Environment(
        loader=ChoiceLoader([PackageLoader("eyeplane.web"), PackageLoader("eyeplane.deliver")]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=shared.finalize,
    )
    made.globals.update(
        words=words,
        static=static_files.address,
        script_words=_script_words,
        keys_on=keys_on,
        script_keys=_script_keys,
    )
    made.filters["figures"] = _figures
    return made


@pass_context
def _figures(context: Context, shown: object) -> str:
    """Return text or markup with the visitor's lengths and decimal mark."""
    figures = context["seen"].figures
    if isinstance(shown, Markup):
        return Markup(figured(str(shown), figures))  # noqa: S704  markup before; numbers changed
    return str(figures.text(str(shown)))


def _script_keys(page_name: str) -> Markup:
    """Return the keys of a page as a data block: by key, the name of what it does."""
    pressed = {press: key.name for key in keys_on(page_name) for press in key.presses}
    text = json.dumps(pressed).replace("<", "\\u003c")
    return Markup(f'<script type="application/json" id="keys">{text}</script>')  # noqa: S704


def _script_words(prefix: str) -> Markup:
    """Return the words a script needs as a data block, which no policy forbids."""
    text = json.dumps(words_under(prefix)).replace("<", "\\u003c")
    return Markup(f'<script type="application/json" id="words">{text}</script>')  # noqa: S704
