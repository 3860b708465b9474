"""A print as the client will see it: true size by the numbers, and where to sit."""

import math
import re
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

import pytest
from starlette.testclient import TestClient

from eyeplane.web.words import words

PX_PER_MM = 5.2


def measured(client: TestClient, seen: str = "2_1440_900") -> TestClient:
    """Return the visitor with a screen that was measured."""
    client.cookies.set("screen_px_per_mm", str(PX_PER_MM))
    client.cookies.set("screen_seen", seen)
    return client


def pictures(text: str) -> list[list[tuple[int, int, dict[str, float]]]]:
    """Return for each picture its variants: CSS width and height, and what it asks the server."""
    found = []
    for block in re.findall(r"<picture>(.*?)</picture>", text, re.DOTALL):
        variants = []
        for one in re.findall(r'srcset="([^" ]+) 1x[^"]*" width="(\d+)" height="(\d+)"', block):
            query = parse_qs(urlsplit(one[0].replace("&amp;", "&")).query)
            asked = {name: float(value[0]) for name, value in query.items() if name != "v"}
            variants.append((int(one[1]), int(one[2]), asked))
        found.append(variants)
    return found


def test_the_eye_stands_at_true_size(framed_client: TestClient) -> None:
    text = measured(framed_client).get("/print/s1/2?print=45&from=50&sit=50").text
    assert words("print.not_true") not in text
    true, whole = pictures(text)
    assert len(true) == len(whole) == 4
    for width, height, asked in true:
        # CSS px = mm of the print × CSS px to a mm of this screen; nothing else may come between.
        assert asked["print"] == 45
        assert width == pytest.approx(asked["mm"] * PX_PER_MM, rel=1e-6)
        assert asked["px"] == width
        assert asked["tall"] == height


def test_every_offered_picture_is_there_in_its_pixels(framed_client: TestClient) -> None:
    text = measured(framed_client).get("/print/s1/2?print=45").text
    block = re.findall(r"<picture>(.*?)</picture>", text, re.DOTALL)[0]
    small = re.search(r'<img src="([^"]+)" srcset="([^"]+)" width="(\d+)"', block)
    assert small is not None
    for entry in small[2].replace("&amp;", "&").split(", "):
        address, ratio = entry.split(" ")
        answer = framed_client.get(address)
        assert answer.status_code == 200
        assert "immutable" in answer.headers["cache-control"]
        width = int.from_bytes(_size_of(answer.content)[2:4], "big")
        assert width == int(small[3]) * int(ratio.removesuffix("x"))


def _size_of(jpeg: bytes) -> bytes:
    """Return height and width out of a JPEG's frame header (ITU-T T.81, B.2.2)."""
    at = jpeg.index(b"\xff\xc0")
    return jpeg[at + 5 : at + 9]


def test_from_where_the_visitor_sits_the_angle_is_the_same(framed_client: TestClient) -> None:
    text = measured(framed_client).get("/print/s1/2?print=60&from=100&sit=60").text
    _, angled, whole = pictures(text)
    for width, _, asked in angled:
        on_screen_mm = width / PX_PER_MM
        at_screen = math.atan(on_screen_mm / 2 / 600)
        at_print = math.atan(asked["mm"] / 2 / 1000)
        assert at_screen == pytest.approx(at_print, rel=1e-6)
    assert "shown at 60 % of true size" in text
    # The whole print is 60 cm from 100 cm: 36 cm wide at 60 cm, more than any page gives here.
    assert max(width for width, _, _ in whole) / PX_PER_MM < 360
    for width, _, _ in whole:
        like_cm = 60 * 600 / (width / PX_PER_MM)
        assert re.search(rf"as the print does from {like_cm:.0f}\u202fcm", text)


def test_a_whole_print_that_fits_is_told_so(framed_client: TestClient) -> None:
    text = measured(framed_client).get("/print/s1/2?print=20&from=108&sit=40").text
    whole = pictures(text)[-1]
    widest = whole[0][0] / PX_PER_MM
    assert widest == pytest.approx(200 * 40 / 108, abs=0.2)
    assert "it looks as large as the 20\u202fcm print does from 108\u202fcm" in text


@pytest.mark.parametrize(
    ("print_cm", "said"),
    [
        ("60", "the near eye looks sharp"),
        ("90", "is on the edge"),
        ("120", "the near eye does not look sharp"),
    ],
)
def test_whether_it_holds_is_said_for_every_size(
    framed_client: TestClient, print_cm: str, said: str
) -> None:
    # Frame 2 holds 96 cm from 50 cm, between 84 and 108.
    text = framed_client.get(f"/print/s1/2?print={print_cm}&from=50").text
    assert said in re.sub(r"\s+", " ", text)
    assert words("print.size.holds") in text


def test_twice_as_far_it_holds_twice_as_much(framed_client: TestClient) -> None:
    text = framed_client.get("/print/s1/2?print=160&from=100").text
    assert "the near eye looks sharp" in text
    assert re.search(r"190\scm \(165–215\)", text)


def test_a_screen_that_was_not_measured_is_told_and_a_coarse_one_too(
    framed_client: TestClient,
) -> None:
    text = framed_client.get("/print/s1/2").text
    assert words("print.not_true") in text
    assert 'href="/screen?back=/print/s1/2%3F' in text
    assert "coarser" not in text
    # 3000 px on 30 cm: 0.1 mm a pixel; this screen 0.19 mm; the eye 0.145 mm from 50 cm.
    measured(framed_client, "1_1440_900")
    assert "(0.19\u202fmm) are coarser" in framed_client.get("/print/s1/2?print=30").text
    framed_client.cookies.set("screen_seen", "2_1440_900")
    assert words("print.true.fine") in framed_client.get("/print/s1/2?print=30").text


def test_inches_go_in_and_come_out(framed_client: TestClient) -> None:
    framed_client.cookies.set("lengths", "inch")
    text = framed_client.get("/print/s1/2?print=24&from=20").text
    assert "A 24\u202fin print seen from 20\u202fin" in text
    assert pictures(text)[0][0][2]["print"] == pytest.approx(60.96)
    assert 'value="24"' in text
    assert "unit=inch" in text


def test_the_seat_is_remembered(framed_client: TestClient) -> None:
    framed_client.get("/print/s1/2?sit=72")
    assert 'name="sit" value="72"' in framed_client.get("/print/s1/2").text
    framed_client.cookies.set("screen_sit_cm", "nan")
    assert framed_client.get("/print/s1/2").status_code == 200


def test_a_phone_is_held_nearer_than_a_desk_screen(framed_client: TestClient) -> None:
    assert 'name="sit" value="50"' in framed_client.get("/print/s1/2").text
    measured(framed_client, "3_390_844")
    assert 'name="sit" value="35"' in framed_client.get("/print/s1/2").text


def test_lengths_out_of_reach_are_refused_with_a_sentence(framed_client: TestClient) -> None:
    for query in ("print=0", "print=4", "print=9999", "from=2", "sit=1e9", "print=<b>", "sit=x"):
        answer = framed_client.get(f"/print/s1/2?{query}")
        assert answer.status_code == 422, query
        assert "<b>" not in answer.text


def test_frames_without_anybody_or_unreadable_are_told(client: TestClient) -> None:
    rows = {row.status: row.number for row in client.app.state.site.sitting("s1").rows()}  # type: ignore[attr-defined]
    nobody = client.get(f"/print/s1/{rows['nobody']}").text
    assert words("print.nobody") in nobody
    assert words("print.trouble.gone") in nobody
    assert "we cannot tell" in nobody
    unreadable = client.get(f"/print/s1/{rows['unreadable']}")
    assert unreadable.status_code == 200
    assert words("print.trouble.unreadable") in unreadable.text
    assert "<picture>" not in unreadable.text
    assert client.get("/print/s1/999").status_code == 404


def test_a_frame_that_is_gone_or_changed_is_told(
    framed_client: TestClient, framed_folder: Path
) -> None:
    (framed_folder / "ilves-02.jpg").unlink()
    (framed_folder / "ilves-01.jpg").write_bytes(b"something else")
    for number, trouble in ((2, "gone"), (1, "changed")):
        text = framed_client.get(f"/print/s1/{number}").text
        assert words(f"print.trouble.{trouble}") in text
        assert "<picture>" not in text
        text = framed_client.get(f"/eyes/s1?a={number}&b=3").text
        assert words(f"eyes.script.{trouble}") in text
        assert f'src="/eye/s1/{number}/0.jpg' in text


def test_a_long_way_off_is_told_in_plain_figures(framed_client: TestClient) -> None:
    text = framed_client.get("/print/s1/2?print=60&from=1000").text
    assert "1000" in text
    assert "1e+03" not in text
