"""The drawings of a plan that can be dragged."""

from collections.abc import Mapping

from eyeplane.deliver.plan_depth import DepthScene, depth_drawing
from eyeplane.deliver.plan_drag import Drawing, View
from eyeplane.deliver.plan_group_view import group_drawing
from eyeplane.deliver.plan_lean import lean_picture
from eyeplane.deliver.plan_page import SCREEN_MM, TYPE_MM
from eyeplane.deliver.plan_picture import Picture
from eyeplane.deliver.plan_set_view import SetScene, set_drawing
from eyeplane.records.plan import PlanKit
from eyeplane.records.plans import BurstPlan, GroupPlan, SitterPlan

LEAST_SCALE, MOST_SCALE = 1e-4, 10.0  # mm of the sheet to one of the world: 1 km to a nose
MOST_START_MM = 1e6


def drawings_of(
    plan: SitterPlan | GroupPlan | BurstPlan,
    *,
    distance_mm: float | None,
    views: Mapping[str, View],
) -> dict[str, Drawing]:
    """Return a plan's drawings, drawn for a phone held at arm's length.

    Parameters
    ----------
    plan : SitterPlan, GroupPlan or BurstPlan
        The plan.
    distance_mm : float or None
        Lens to near iris; None for a group.
    views : mapping of str to View
        By name of a drawing what it is to show, while something is being dragged.

    Returns
    -------
    dict of str to Drawing
        "depth" and "set" of one sitter, "group", or "sweep" and "set" of a lean-in, of which the
        first has nothing to be dragged: it comes of the rest.
    """
    size = {"width_mm": SCREEN_MM, "size_mm": TYPE_MM}
    if isinstance(plan, GroupPlan):
        lands = _lands_mm(plan.request.kit)
        return {"group": group_drawing(plan, **size, lands_mm=lands, view=views.get("group"))}
    request = plan.request.sitting if isinstance(plan, BurstPlan) else plan.request
    scene = SetScene(
        request=request,
        distance_mm=distance_mm or 0.0,
        setting=plan.setting if isinstance(plan, BurstPlan) else plan.settings[0],
        lands_mm=_lands_mm(request.kit) if isinstance(plan, SitterPlan) else 0.0,
    )
    drawn = {"set": set_drawing(scene, **size, view=views.get("set"))}
    if isinstance(plan, BurstPlan):
        return {"sweep": _still(lean_picture(plan)), **drawn}
    scatter = request.kit.focus_spread_mm
    depth = DepthScene(
        distance_mm=scene.distance_mm,
        yaw_deg=request.yaw_deg,
        marks=plan.marks,
        setting=scene.setting,
        scatter_mm=None if scatter is None else scatter.value,
        lands_mm=scene.lands_mm,
    )
    return {"depth": depth_drawing(depth, **size, view=views.get("depth")), **drawn}


def view_of(text: str) -> View | None:
    """Return a view as a script sends it back.

    Parameters
    ----------
    text : str
        Start and scale, as "-62.5,0.4".

    Returns
    -------
    View or None
        None if it is none, or beyond all bounds.

    Examples
    --------
    >>> view_of("-60,0.5")
    View(start_mm=-60.0, scale=0.5)
    """
    parts = text.split(",")
    try:
        start, scale = float(parts[0]), float(parts[-1])
    except ValueError:
        return None
    good = len(parts) == 2 and abs(start) <= MOST_START_MM and LEAST_SCALE <= scale <= MOST_SCALE
    return View(start_mm=start, scale=scale) if good else None


def _still(picture: Picture) -> Drawing:
    """Return a picture in which nothing can be dragged."""
    sheet = picture.draw(SCREEN_MM, TYPE_MM)
    return Drawing(
        name=picture.name,
        spoken=picture.spoken,
        sheet=sheet,
        view=View(start_mm=0.0, scale=1.0),
        head_mm=0.0,
        axis_mm=sheet.height_mm / 2,
        foot_mm=sheet.height_mm,
        handles=(),
        note=picture.note,
    )


def _lands_mm(kit: PlanKit) -> float:
    return 0.0 if kit.focus_bias_mm is None else kit.focus_bias_mm.value
