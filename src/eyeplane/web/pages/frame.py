"""The page of one frame: its answer, and everything that stands behind it."""

from dataclasses import dataclass, replace

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from eyeplane.deliver.cautions import frame_cautions
from eyeplane.deliver.frames import frame_part
from eyeplane.deliver.light import dial
from eyeplane.deliver.windows import FACE_MM_PER_CM
from eyeplane.deliver.wording import whole_cm
from eyeplane.records import EyeView, SittingFrame
from eyeplane.records.live import FrameRow, LiveFrame
from eyeplane.sitting.live import LiveSitting
from eyeplane.sitting.run import goal_of
from eyeplane.web.page import page, site_of
from eyeplane.web.pages.sitting_asked import asked_of, in_order
from eyeplane.web.pages.sitting_blocks import bursts_in
from eyeplane.web.pages.sitting_chosen import number_of
from eyeplane.web.pages.sitting_shown import reason_of
from eyeplane.web.seen import seen_by
from eyeplane.web.site import NotHereError
from eyeplane.web.words import words


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """Where a frame stands among the others.

    Attributes
    ----------
    row : FrameRow
        The frame in one line.
    place, count : int
        Its place in the order asked for, from 1, and how many there are; 0 if it is left out there.
    before, after : int or None
        Numbers of its neighbours in that order.
    best : FrameRow or None
        Best of its burst, if that is another frame.
    why : str
        Why the best of its burst is the best; empty for a burst of one.
    """

    row: FrameRow
    place: int
    count: int
    before: int | None
    after: int | None
    best: FrameRow | None
    why: str


def _frame(request: Request) -> Response:
    live = site_of(request).sitting(request.path_params["key"])
    found = live.frame(number_of(request.path_params["number"]))
    if found is None:
        raise NotHereError(
            words("frame.missing"), where=words("frame.address"), hint=words("frame.missing_hint")
        )
    asked = asked_of(request.query_params)
    goal_cm, frame = goal_of(live.viewing), with_views(live, found)
    part, enlarged = frame_part(frame, goal_cm=goal_cm)
    around = _around(live, found.number, request)
    return page(
        request,
        "frame.html.j2",
        live=live,
        key=live.key,
        number=found.number,
        frame=part,
        reason=reason_of(around.row),
        enlarged=enlarged,
        goal=f"{whole_cm(goal_cm)}\u2009cm",
        around=around,
        asked=asked,
        dial=dial(),
        cautions=frame_cautions(frame),
        face_mm_per_cm=FACE_MM_PER_CM,
        chosen=sum(row.chosen for row in live.rows()),
    )


def with_views(live: LiveSitting, found: LiveFrame) -> SittingFrame:
    """Return a frame with the eye windows of its faces, which do not stay in memory.

    Parameters
    ----------
    live : LiveSitting
        The sitting.
    found : LiveFrame
        One of its frames.

    Returns
    -------
    SittingFrame
        The same; faces without a picture stay without.
    """
    reading = found.frame.reading
    faces = []
    for place, face in enumerate(reading.faces):
        jpeg = None if face.view is None else face.view.jpeg or live.view(found.number, place)
        if face.view is not None and jpeg:
            view = EyeView(jpeg=jpeg, mm_per_px=face.view.mm_per_px)
            faces.append(replace(face, view=view))
        else:
            faces.append(replace(face, view=None))
    return replace(found.frame, reading=replace(reading, faces=tuple(faces)))


def _around(live: LiveSitting, number: int, request: Request) -> Around:
    rows = live.rows()
    row = next(row for row in rows if row.number == number)
    order = [one.number for one in in_order(rows, asked_of(request.query_params))]
    place = order.index(number) if number in order else None
    burst = [one for one in rows if row.burst is not None and one.burst == row.burst]
    best = next((one for one in burst if one.best and one.number != number), None)
    why = bursts_in(burst, seen_by(request).figures).why.get(row.burst or 0, "")
    return Around(
        row=row,
        place=0 if place is None else place + 1,
        count=len(order),
        before=order[place - 1] if place else None,
        after=order[place + 1] if place is not None and place + 1 < len(order) else None,
        best=best,
        why=why,
    )


routes = (Route("/sitting/{key}/frame/{number}", _frame),)
