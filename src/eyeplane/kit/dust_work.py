"""What shadows do at other apertures and on a print, all of them together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from eyeplane.kit.dust_seen import at_aperture, on_print
from eyeplane.kit.dust_told import Cast, Taken
from eyeplane.records.kit_dust import DustAperture, DustAtWork, DustShadow

STOPS = (2.8, 4.0, 5.6, 8.0, 11.0, 16.0, 22.0)  # the trade's full stops


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """For which use a shadow is judged.

    Attributes
    ----------
    working_f_number : float
        Aperture.
    print_cm, viewing_cm : float
        Long edge of the print, and distance of the viewer.
    """

    working_f_number: float
    print_cm: float
    viewing_cm: float


def at_work(cast: Cast, taken: Taken, asked: Asked, f_number: float) -> DustAtWork | None:
    """Return what a shadow does at an aperture.

    Parameters
    ----------
    cast : Cast
        The shadow.
    taken : Taken
        How the frames were taken.
    asked : Asked
        Print and viewing distance.
    f_number : float
        The aperture.

    Returns
    -------
    DustAtWork or None
        None where the aperture of the frames is not known.
    """
    if taken.f_number is None:
        return None
    depth, wide = at_aperture(
        ratio=cast.ratio,
        cone_px=cast.cone_px,
        stops_ratio=f_number / taken.f_number,
        hair=cast.shadow.kind == "hair",
    )
    return on_print(
        depth_share=depth,
        diameter_px=wide,
        f_number=f_number,
        long_edge_px=taken.long_edge_px,
        print_cm=asked.print_cm,
        viewing_cm=asked.viewing_cm,
    )


def numbered(casts: Sequence[Cast], taken: Taken, asked: Asked) -> tuple[DustShadow, ...]:
    """Return the shadows, deepest first, each with what it does at work.

    Parameters
    ----------
    casts : sequence of Cast
        In any order.
    taken : Taken
        How the frames were taken.
    asked : Asked
        For which use.

    Returns
    -------
    tuple of DustShadow
        Numbered from 1.
    """
    order = sorted(casts, key=lambda c: (-c.shadow.depth_share.value, -c.shadow.lost_px2.value))
    return tuple(
        replace(
            cast.shadow,
            number=k,
            at_work=at_work(cast, taken, asked, asked.working_f_number),
        )
        for k, cast in enumerate(order, start=1)
    )


def over_apertures(casts: Sequence[Cast], taken: Taken, asked: Asked) -> tuple[DustAperture, ...]:
    """Return what all shadows do over the stops.

    Parameters
    ----------
    casts : sequence of Cast
        In any order.
    taken : Taken
        How the frames were taken.
    asked : Asked
        For which use; its aperture is among the stops.

    Returns
    -------
    tuple of DustAperture
        From wide to small; empty without shadows, or where the aperture is not known.
    """
    if not casts or taken.f_number is None:
        return ()
    rows = []
    for f_number in sorted({*STOPS, asked.working_f_number}):
        works = [w for c in casts if (w := at_work(c, taken, asked, f_number)) is not None]
        deepest = max(works, key=lambda w: w.depth_share.value)
        rows.append(
            DustAperture(
                f_number=f_number,
                deepest_share=deepest.depth_share,
                widest_px=max(w.diameter_px.value for w in works),
                showing=sum(w.shows == "yes" for w in works),
                perhaps=sum(w.shows == "perhaps" for w in works),
            )
        )
    return tuple(rows)
