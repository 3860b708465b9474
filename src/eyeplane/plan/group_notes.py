"""What a group's plan rests on: rows or an arc, light on the rows, usual or learned numbers."""

from dataclasses import replace

from eyeplane.errors import InputError
from eyeplane.light import falloff_ev
from eyeplane.plan import group_words, words
from eyeplane.plan.group_choice import GroupChoice, widest_for_all
from eyeplane.plan.group_lean import anybody_leans
from eyeplane.plan.rows import seating
from eyeplane.plan.sitter_words import finer_grain
from eyeplane.plan.whose import whose_numbers
from eyeplane.records import GroupRequest, GroupRow

DARKER_EV = 0.33  # stops by which a back row may be darker before it is said; our own
LEAST_ARC_MM = 10.0  # mm of depth below which an arc makes no difference; our own


def arc_cost_mm(request: GroupRequest) -> float:
    """Return the depth that an arc adds over straight rows.

    Parameters
    ----------
    request : GroupRequest
        The group; without an arc of its own one is tried on which all of a row are equally far
        from the camera.

    Returns
    -------
    float
        Depth with the arc less depth without, as the lens sees both: negative where the bend of its
        surface in focus makes the arc pay; 0 for single faces, or where no such arc fits.
    """
    cost = _arc_cost_mm(request)
    return 0.0 if cost is None else cost


def _arc_cost_mm(request: GroupRequest) -> float | None:
    straight = seating(replace(request, arc_radius_mm=None))
    radius = request.arc_radius_mm or request.distance_mm
    try:
        bent = seating(replace(request, arc_radius_mm=radius))
    except InputError:
        return None
    return (bent.far_mm - bent.near_mm) - (straight.far_mm - straight.near_mm)


def notes_of(choice: GroupChoice, rows: tuple[GroupRow, ...]) -> tuple[str, ...]:
    """Return what the plan rests on.

    Parameters
    ----------
    choice : GroupChoice
        The group.
    rows : tuple of GroupRow
        Its rows.

    Returns
    -------
    tuple of str
        Sentences.
    """
    request = choice.request
    finer = finer_grain(choice.found.settings, choice.shares, choice.order[0])
    said = [finer, _upright(choice), _arc(request)]
    if not anybody_leans(choice.lean):
        said.append(group_words.moving(rows))
    said += [
        _darker(choice),
        *whose_numbers(request.kit, request.hand, request.sitter, moves="how these people move"),
        _heights(request),
    ]
    said.append(
        "Shares are of frames in which every near eye holds the print: one focus error and one "
        "shake for all, everybody moving on their own. In brackets the range that holds the truth "
        "nine times in ten."
    )
    return tuple(one for one in said if one)


def _arc(request: GroupRequest) -> str:
    """Return straight rows against an arc."""
    if request.faces_per_row == 1:
        return ""
    cost = _arc_cost_mm(request)
    if cost is None:
        return ""
    if abs(cost) < LEAST_ARC_MM:
        return "Straight or in an arc, these rows are equally deep for this lens."
    size = words.length(cost)
    bent = request.kit.field_radius_mm is not None
    why = (
        "by the bend of this lens's surface in focus"
        if bent
        else "depth counts along the lens axis, not from the camera"
    )
    if request.arc_radius_mm is None:
        arc = "An arc on which all are equally far from the camera would"
        return f"{arc} {'add' if cost > 0 else 'save'} {size} of depth: {why}."
    if cost > 0:
        return f"The arc costs {size} of depth over straight rows: {why}. Stand them straight."
    return f"The arc saves {size} of depth over straight rows: {why}."


def _darker(choice: GroupChoice) -> str:
    """Return how much darker the back row is with a flash at the front."""
    light, where = choice.request.light, choice.upright
    if light.kind != "flash":
        return ""
    near = light.flash_distance_mm or where.plane_mm
    depth = float(where.distance_mm.max() - where.distance_mm.min())
    lost = float(falloff_ev(near_mm=near, far_mm=near + depth))
    if lost < DARKER_EV:
        return ""
    return (
        f"From the front row to the back row the flash loses {words.stops(lost)}: move it farther "
        "back and give it more power, or aim it at the back row."
    )


def _upright(choice: GroupChoice) -> str:
    """Return the aperture that takes everybody in if nobody leans."""
    if choice.request.rows == 1 and choice.request.arc_radius_mm is None:
        return ""
    widest = widest_for_all(choice)
    if widest is None:
        return "If nobody leans, no aperture within the limits takes everybody in."
    where = ""
    if anybody_leans(choice.lean):
        where = f", with the focus plane {group_words.far(choice.upright.plane_mm)} from the lens"
    return (
        f"If nobody leans, {words.f_stop(widest)} just takes everybody in{where}: nothing is then "
        "left for missed focus and motion."
    )


def _heights(request: GroupRequest) -> str:
    """Return what rows behind one another need to be seen at all."""
    seated = request.rows - 1 if request.standing else request.rows
    if seated < 2:
        return ""
    return (
        "Rows at one height hide each other: stagger them so that each face stands in a gap, the "
        "tall behind, or use steps made for it; nobody stands on furniture."
    )
