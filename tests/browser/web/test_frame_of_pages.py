"""What every page has around it, seen in a browser."""

import pytest
from tests.browser.web.looking import LookAt

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("size", ["phone", "tablet", "desk"])
def test_the_list_of_sittings_is_a_good_page(look_at: LookAt, served: str, size: str) -> None:
    look = look_at(served, size)
    look.go("/sittings")
    look.check()
