"""`eyeplane serve`: the pages, for this machine or for the studio."""

import sys
from dataclasses import dataclass, replace
from pathlib import Path

import click

from eyeplane.asked.kits import kit_settings
from eyeplane.cli.plain_page import Page
from eyeplane.deliver import plain_text
from eyeplane.errors import InputError
from eyeplane.records import Viewing
from eyeplane.web import Site
from eyeplane.web.guard.machine import own_addresses
from eyeplane.web.qr import qr_text
from eyeplane.web.serving import HERE, serve, take_port

UNENCRYPTED = (
    "The connection is not encrypted: let devices in on the studio's own network, never on one "
    "that guests or a venue share."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ServeAsked:
    """What was typed.

    Attributes
    ----------
    folder : Path or None
        Where frames land; None: to be chosen from the known sittings.
    port : int
        0: any that is free.
    studio : bool
        Whether other devices are let in.
    name : str or None
        What the sitting is called.
    print_cm : float or None
        Longest edge of the print.
    viewing_cm : float, str or None
        Distance, or "diagonal".
    workers : int or None
        Measuring processes.
    store : Path or None
        The store.
    """

    folder: Path | None
    port: int
    studio: bool
    name: str | None
    print_cm: float | None
    viewing_cm: float | str | None
    workers: int | None
    store: Path | None


def serve_command(asked: ServeAsked) -> int:
    """Serve the pages until they are stopped.

    Parameters
    ----------
    asked : ServeAsked
        What was typed.

    Returns
    -------
    int
        Exit status 0; Ctrl-C raises KeyboardInterrupt.

    Raises
    ------
    InputError
        If the folder is not there, the port is taken, or what was typed does not go together.
    StoreError
        If the store cannot be used.
    """
    if asked.folder is None and (asked.name or asked.print_cm or asked.viewing_cm):
        raise InputError(
            "it is not said of which sitting",
            where="--name, --print-cm and --viewing-cm",
            hint="Give the folder too: eyeplane serve FOLDER",
        )
    taken = take_port(asked.port, network=asked.studio)
    site = Site(
        store_path=asked.store,
        studio=asked.studio,
        port=taken.getsockname()[1],
        settings=kit_settings(),
        workers=asked.workers,
    )
    try:
        if asked.studio:
            site.keep_sessions()
        if asked.folder is None:
            site.known()  # a store that cannot be used is told now
        else:
            live = site.open(asked.folder, name=asked.name)
            viewing = _viewing(asked, live.viewing)
            if viewing != live.viewing:
                live.set_viewing(viewing)
        _show(site)
    except BaseException:
        taken.close()
        site.close()
        raise
    serve(site, taken)
    return 0


def _viewing(asked: ServeAsked, before: Viewing) -> Viewing:
    """Return for whom to answer: as typed, else as it was."""
    found = before
    if asked.print_cm is not None:
        found = replace(found, print_cm=asked.print_cm)
    if asked.viewing_cm is not None:
        distance = None if isinstance(asked.viewing_cm, str) else asked.viewing_cm
        found = replace(found, distance_cm=distance)
    return found


def _show(site: Site) -> None:
    live = site.current()
    if live is not None:
        name = plain_text(live.name)
        _say(f'The sitting "{name}" is open: frames that land in its folder are answered.')
    here = f"http://{HERE}:{site.port}/"
    if site.studio:
        _show_ways_in(site, here)
    else:
        click.echo(f"Open {here}")
    click.echo("Stop with Ctrl-C.")
    sys.stdout.flush()


def _show_ways_in(site: Site, here: str) -> None:
    """Print an address for the desk and one for a telephone, each with a code of its own."""
    click.echo(f"On this machine open\n  {here}enter?token={site.codes.new_code()}")
    addresses = own_addresses()
    if addresses:
        scanned = f"http://{addresses[0]}:{site.port}/enter?token={site.codes.new_code()}"
        click.echo(f"On a phone or tablet of this network open or scan\n  {scanned}")
        if sys.stdout.isatty() and (sys.stdout.encoding or "").lower().startswith("utf"):
            click.echo(qr_text(scanned))
    else:
        _say("This machine is on no network, so no other device reaches it.")
    _say(
        "Each address lets one device in, once, within five minutes. For more devices open the "
        f'page "Let a device in", {here}studio'
    )
    _say(UNENCRYPTED)


def _say(text: str) -> None:
    page = Page()
    page.say(text)
    click.echo(page.text(), nl=False)
