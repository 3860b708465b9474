"""The docs page of the JSON of checks says what the records say, and every record is told."""

import pytest
from tests.records.checks_page import PAGE, RECORDS, check_of, page, record_of

from eyeplane.records.check_json import check_schema


def test_the_page_is_that_of_the_records() -> None:
    assert PAGE.read_text("utf-8") == page(), "run: python tests/records/checks_page.py"


@pytest.mark.parametrize("command", RECORDS)
def test_every_field_is_described(command: str) -> None:
    schema = check_schema(check_of(command), record_of(command))
    for name, part in {"": schema, **schema["$defs"]}.items():
        assert part.get("description", schema["title"]), name
        for field, one in part["properties"].items():
            assert one["description"], f"{name}.{field}"
