"""Where a frame was taken is nowhere to be seen: not in a page, a list, a picture or the store."""

import io
import re
from base64 import b64decode
from pathlib import Path

import pytest
from PIL import ExifTags, Image
from starlette.routing import Route
from starlette.testclient import TestClient

import eyeplane.cli
from eyeplane.measure import measure_frame
from eyeplane.records import MeasureSettings, Viewing
from eyeplane.sitting.live import LiveSitting
from eyeplane.web import Site, make_app
from eyeplane.web.pages import all_routes

FRAME = Path(eyeplane.cli.__file__).parent / "demo_sitting" / "ilves-01.jpg"
# Degrees, minutes and seconds that occur nowhere by chance.
NORTH, EAST, HEIGHT_M = (59.0, 26.0, 14.7193), (24.0, 45.0, 13.8467), 8611.37
TOLD = re.compile(
    rb"14[.,]7193|13[.,]8467|59[.,]437422|24[.,]753846|8611[.,]37|GPSInfo|latitude|Exif\x00",
    re.IGNORECASE,
)
WITHIN = re.compile(rb"data:image/jpeg;base64,([A-Za-z0-9+/=]+)")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with a frame that tells in its EXIF where it was taken."""
    folder = tmp_path_factory.mktemp("placed")
    with Image.open(FRAME) as frame:
        exif = frame.getexif()
        place = exif.get_ifd(ExifTags.IFD.GPSInfo)
        place.update({1: "N", 2: NORTH, 3: "E", 4: EAST, 6: HEIGHT_M})
        frame.save(folder / "placed.jpg", quality=95, exif=exif)
    return folder


@pytest.mark.slow
def test_no_page_tells_where_a_frame_was_taken(folder: Path, tmp_path: Path) -> None:
    path = folder / "placed.jpg"
    with Image.open(path) as frame:  # the frame does tell it: else this test could not fail
        assert tuple(frame.getexif().get_ifd(ExifTags.IFD.GPSInfo)[2]) == pytest.approx(NORTH)
    assert TOLD.search(path.read_bytes())
    reading = measure_frame(str(path), MeasureSettings())
    assert reading.status == "measured"
    assert not TOLD.search(repr(reading).encode())
    live = LiveSitting(key="s1", name="placed", folder=folder, viewing=Viewing())
    live.take(reading)
    site = Site(store_path=tmp_path / "store.sqlite3")
    site.add(live)
    seen = pictures = 0
    with TestClient(make_app(site), base_url="http://127.0.0.1:8765") as client:
        for route in all_routes():
            if not isinstance(route, Route) or "GET" not in (route.methods or ()):
                continue
            if "events" in route.path:  # never ends; what it sends is made of the rows
                continue
            address = re.sub(r"\{key\}", "s1", route.path)
            address = re.sub(r"\{(?:n|number)(?::int)?\}", "1", address)
            address = re.sub(r"\{\w+(?::\w+)?\}", "0", address)
            answer = client.get(f"{address}?a=1&b=1")
            seen += answer.status_code == 200
            assert not TOLD.search(answer.content), address
            assert "placed.jpg" not in str(answer.headers)
            found = [b64decode(one) for one in WITHIN.findall(answer.content)]
            if answer.headers.get("content-type", "").startswith("image/"):
                found.append(answer.content)
            pictures += len(found)
            for content in found:
                with Image.open(io.BytesIO(content)) as picture:
                    assert len(picture.getexif()) == 0, address
                    assert set(picture.info) <= {
                        "jfif",
                        "jfif_version",
                        "jfif_unit",
                        "jfif_density",
                    }
    assert seen > 10
    assert pictures >= 1
