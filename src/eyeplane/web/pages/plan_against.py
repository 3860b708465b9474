"""A plan held against a sitting that was measured: what it foretold, and what came out."""

import threading
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, cast
from urllib.parse import urlencode

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from eyeplane.asked.plan_entered import Entered, entered
from eyeplane.asked.plan_given import gather
from eyeplane.asked.plan_scene_options import TABLES
from eyeplane.asked.plan_taught import learned_texts, most_told
from eyeplane.asked.plan_values import yes_or_no
from eyeplane.deliver.foretold_picture import foretold_picture, part_words
from eyeplane.deliver.wording import offset_words, reach_words
from eyeplane.records import Learned, PlanHand, PlanSitter
from eyeplane.records.foretold import ForetoldParts
from eyeplane.sitting import learn_from
from eyeplane.sitting.foretold_parts import foretell_parts
from eyeplane.sitting.live import LiveSitting
from eyeplane.web.page import page, site_of
from eyeplane.web.pages.plan_fields import Field, switch
from eyeplane.web.pages.plan_made import field_words, in_page_words
from eyeplane.web.pages.plan_shown import drawn_picture
from eyeplane.web.words import words
from eyeplane.web.worked_out import Found, WorkedOut

if TYPE_CHECKING:
    from eyeplane.asked.typed import WhoGiven

ASKED = ("who", "print-cm", "tripod", "stabiliser")
STOP_ASKING = 286  # htmx polls no more when it gets this status
_MAKING = threading.Lock()


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """How a plan did, and what these frames teach for the next.

    Attributes
    ----------
    parts : ForetoldParts or None
        None if not one frame tells.
    taught : mapping of str to str
        What goes into the next plan, by option, in words.
    frames : int
        Frames that were measured.
    """

    parts: ForetoldParts | None
    taught: tuple[tuple[str, str], ...]
    frames: int


def _against(request: Request) -> Response:
    live = site_of(request).sitting(request.path_params["key"])
    pairs = request.query_params.multi_items()
    if any(not text.strip() for _, text in pairs):
        kept = request.url.remove_query_params([n for n, text in pairs if not text.strip()])
        return RedirectResponse(f"{kept.path}?{kept.query}".rstrip("?"), status_code=303)
    said, wrong = _asked(pairs)
    fields = _fields(live, said, wrong)  # a small sitting is settled by this: a state before it
    found = None if wrong else _found(request, live, _who(said))
    if found is None and not wrong:
        query = f"?{urlencode(pairs)}" if pairs else ""
        return page(request, "plan_waiting.html.j2", keys_of="plan", live=live, query=query)
    return page(
        request,
        "plan_against.html.j2",
        status=422 if wrong else 200,
        keys_of="plan",
        live=live,
        wrong=wrong,
        fields=fields,
        anew=found is not None and not found.current,
        **_shown(None if found is None else found.result),
    )


def _piece(request: Request) -> Response:
    live = site_of(request).sitting(request.path_params["key"])
    said, wrong = _asked(request.query_params.multi_items())
    if not wrong and not _worked_out_of(request).news((live, live.viewing, _who(said))):
        return Response(status_code=204)
    return Response(status_code=STOP_ASKING, headers={"hx-refresh": "true"})


def _asked(pairs: list[tuple[str, str]]) -> tuple[Entered, dict[str, str]]:
    """Return what was entered, and by name what is wrong with it."""
    said = entered("sitter", pairs)
    wrong = {name: in_page_words(text, "sitter") for name, text in said.wrong.items()}
    for name in set(said.texts) - set(ASKED) - set(wrong):
        wrong[name] = words("plan.not_asked", name=name[:40])
    return said, wrong


# Print in cm (None: the sitting's own), age (None: an adult), mood, tripod, stops of a stabiliser.
Who = tuple[float | None, float | None, str, bool, float]


def _who(said: Entered) -> Who:
    given = gather(TABLES["sitter"], said.typed, {})
    who = cast("WhoGiven", given["who"])
    return (
        given.number("print-cm") if "print-cm" in said.texts else None,
        who.age_years,
        who.mood,
        given.on("tripod"),
        given.sure("stabiliser"),
    )


def _found(request: Request, live: LiveSitting, who: Who) -> Found[Held] | None:
    """Return how the plan did, as far as it is worked out: hundreds of frames take a minute."""
    key = (live, live.viewing, who)  # for another print an older answer is none
    return _worked_out_of(request).look(key, live.state().revision, lambda: _held(live, who))


def _worked_out_of(request: Request) -> WorkedOut[Held]:
    """Return what works out beside the pages of the site that a request came to."""
    state = request.app.state
    with _MAKING:
        if not hasattr(state, "plans_held"):
            state.plans_held = WorkedOut[Held]()
    found: WorkedOut[Held] = state.plans_held
    return found


def _held(live: LiveSitting, who: Who) -> Held:
    print_cm, age_years, mood, tripod, stops = who
    sitting = live.sitting()
    if print_cm is not None:
        sitting = replace(sitting, goal_cm=print_cm)
    return Held(
        parts=foretell_parts(
            sitting,
            sitter=PlanSitter(age_years=age_years, mood=cast("Any", mood or None)),
            hand=PlanHand(support="tripod" if tripod else "hand"),
            stabiliser_stops=stops,
        ),
        taught=tuple(_taught(learn_from(sitting.frames)).items()),
        frames=sum(frame.reading.status == "measured" for frame in sitting.frames),
    )


def _taught(learned: Learned) -> dict[str, str]:
    """Return what was learned: where the focus lands in words, the others as they are typed."""
    texts, kit = learned_texts(learned), most_told(learned.focus)
    if kit is not None:
        texts["focus-bias"] = offset_words(kit.bias_mm)
    return {name: text.replace("-", "−") for name, text in texts.items()}


def _fields(live: LiveSitting, said: Entered, wrong: dict[str, str]) -> tuple[Field, ...]:
    given = gather(TABLES["sitter"], {}, {})
    fields = []
    for name in ASKED:
        option = next(one for one in TABLES["sitter"] if one.name == name)
        holds = given.values[name].text if name in given.values else ""
        if name == "print-cm":
            holds = f"{live.whole().goal_cm:g}"
        fields.append(
            Field(
                name=name,
                label=field_words("sitter", name, "label"),
                hint=field_words("sitter", name, "hint"),
                text=said.texts.get(name, ""),
                holds=holds,
                wrong=wrong.get(name, ""),
                choices=switch("no") if option.read is yes_or_no else (),
            )
        )
    return tuple(fields)


def _shown(held: Held | None) -> dict[str, Any]:
    if held is None:
        return {"sentence": words("plan.cannot"), "parts": None, "lines": (), "taught": ()}
    taught = [(field_words("sitter", name, "label"), text) for name, text in held.taught]
    shown: dict[str, Any] = {"parts": held.parts, "taught": taught}
    parts = held.parts
    if parts is None:
        return {**shown, "sentence": words("plan.none_tells"), "lines": (words("plan.needs"),)}
    lines = [parts.text]
    if parts.frames > parts.asked:
        lines.append(words("plan.asked_of", count=parts.asked, of=parts.frames))
    left_out = held.frames - parts.frames
    if left_out:
        lines.append(words("plan.left_out", count=left_out))
    picture = foretold_picture(parts.parts)
    return {
        **shown,
        "sentence": parts.sentence,
        "lines": tuple(lines),
        "picture": picture,
        "drawn": drawn_picture(picture),
        "rows": [part_words(part) for part in parts.parts],
        "reaches": (reach_words(parts.foretold_reach_cm), reach_words(parts.found_reach_cm)),
    }


routes = (
    Route("/plan/against/{key}", _against),
    Route("/plan/against/{key}/piece", _piece),
)
