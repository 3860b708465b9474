"""Lengths of whole pages: texts and what is read aloud, nothing else."""

import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from eyeplane.web.figured_markup import figured
from eyeplane.web.figures import Figures

BOTH = Figures(lengths="inch", decimal="comma")


@pytest.mark.parametrize(
    ("made", "shown"),
    [
        ('<p title="60 cm" data-x="60 cm">60 cm</p>', '<p title="24 in" data-x="60 cm">24 in</p>'),
        ('<svg aria-label="35 cm"><text x="1.5">1.5 m</text></svg>',) * 1
        + ('<svg aria-label="14 in"><text x="1.5">4,9 ft</text></svg>',),
        ("<b>35 cm</b> <i>(30–41)</i>", "<b>14 in</b> <i>(12–16)</i>"),
        ("<b>35 mm</b> <i>(30–41)</i>", "<b>35 mm</b> <i>(30–41)</i>"),
        ("<b>35 cm</b> <i>of 4 (30–41)</i>", "<b>14 in</b> <i>of 4 (30–41)</i>"),
        ("<bdi>60 cm.jpg</bdi> 60 cm", "<bdi>60 cm.jpg</bdi> 24 in"),
        ('<script type="application/json">"60 cm"</script>',) * 2,
        ("<style>a{x:1.5}</style>",) * 2,
        ("<div data-as-is>60 cm <div>60 cm</div> 60 cm</div>60 cm",) * 1
        + ("<div data-as-is>60 cm <div>60 cm</div> 60 cm</div>24 in",),
        ('<input value="60 cm"><br/>60 cm', '<input value="60 cm"><br/>24 in'),
        ("<textarea>60 cm</textarea>",) * 2,
        ("<!-- 60 cm --> 60 cm", "<!-- 60 cm --> 24 in"),
        ("2 < 3 and 60 cm", "2 < 3 and 24 in"),
    ],
)
def test_only_what_is_read_changes(made: str, shown: str) -> None:
    assert figured(made, BOTH) == shown
    assert figured(made, Figures()) == made


@given(st.lists(st.floats(0.1, 400).map(lambda x: round(x, 1)), max_size=8))
def test_a_drawing_keeps_its_geometry(places: list[float]) -> None:
    texts = "".join(
        f'<text x="{p}" y="{p / 2}">{p} cm</text><path d="M{p} 1.5h2"/>' for p in places
    )
    before = ET.fromstring(f"<svg>{texts}</svg>")  # noqa: S314  made above
    after = ET.fromstring(figured(f"<svg>{texts}</svg>", BOTH))  # noqa: S314
    assert [one.attrib for one in before.iter()] == [one.attrib for one in after.iter()]
    assert all("cm" not in (one.text or "") for one in after.iter("text"))
