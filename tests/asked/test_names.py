"""Names of kits, clients and sitters: what is none is refused before any frame is opened."""

import pytest

from eyeplane.asked.names import LONGEST_NAME, check_name
from eyeplane.errors import InputError


def test_names_are_taken_as_they_are_written() -> None:
    for name in (None, "studio 85", "Übung №1", "写真館", "x" * LONGEST_NAME, "📷"):
        check_name(name, "--kit")


@pytest.mark.parametrize("name", ["", "  ", "a\nb", "\x1b[2J", "\udcff", "\u202eabc", "\0"])
def test_what_cannot_be_shown_is_no_name(name: str) -> None:
    with pytest.raises(InputError) as told:
        check_name(name, "--kit")
    assert str(told.value).isprintable()
    assert str(told.value).startswith("--kit: ")
