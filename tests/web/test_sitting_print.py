"""The print that answers hold for, set by a form, held against what the command line takes."""

import click
import pytest
from starlette.testclient import TestClient

from eyeplane.cli.values import LengthCm, ViewingCm
from eyeplane.errors import InputError
from eyeplane.records import Viewing
from eyeplane.sitting.live import LiveSitting
from eyeplane.web.figures import Figures
from eyeplane.web.pages.sitting_print import viewing_of

NOW = Viewing(distance_cm=50.0, print_cm=60.0)


def test_a_print_is_set(client: TestClient, live: LiveSitting) -> None:
    form = {"print": "40", "from": "given", "viewing": "70"}
    answer = client.post("/sitting/s1/print", data=form, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/sitting/s1")
    assert live.viewing == Viewing(distance_cm=70.0, print_cm=40.0)
    client.post("/sitting/s1/print", data={"print": "", "from": "diagonal", "viewing": "70"})
    assert live.viewing == Viewing(distance_cm=None, print_cm=None)


@pytest.mark.parametrize("typed", ["60", "0.5", "10000", "0", "-1", "abc", "1e999", "nan", "10001"])
def test_lengths_are_taken_and_refused_as_on_the_command_line(typed: str) -> None:
    def command(kind: click.ParamType[float]) -> float | None:
        try:
            return float(kind.convert(typed, None, None))
        except click.UsageError:
            return None

    def form(**fields: str) -> Viewing | None:
        try:
            return viewing_of({"from": "given", **fields}, Figures(), Viewing())
        except InputError:
            return None

    edge, distance = form(print=typed), form(viewing=typed)
    assert (None if edge is None else edge.print_cm) == command(LengthCm())
    assert (None if distance is None else distance.distance_cm) == command(ViewingCm())


def test_what_is_left_as_it_was_shown_stays_exactly_as_it_is() -> None:
    inches = Figures(lengths="inch", decimal="comma")
    form = {"from": "given", "print": inches.length(61.0), "viewing": inches.length(50.0)}
    now = Viewing(distance_cm=50.0, print_cm=61.0)
    assert viewing_of(form, inches, now) == now
    assert viewing_of(form | {"print": "24"}, inches, now).print_cm == pytest.approx(60.96)


def test_an_empty_distance_is_the_standard_one() -> None:
    assert viewing_of({"print": "60"}, Figures(), NOW) == Viewing(print_cm=60.0)


@pytest.mark.parametrize(
    "form",
    [{"print": "large"}, {"print": "60", "viewing": "-1"}, {"from": "moon"}, {"print": "9" * 5000}],
)
def test_what_is_no_length_is_told_and_changes_nothing(
    client: TestClient, live: LiveSitting, form: dict[str, str]
) -> None:
    before = live.viewing
    answer = client.post("/sitting/s1/print", data=form)
    assert answer.status_code == 422
    assert live.viewing == before
