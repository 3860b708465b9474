"""Tiles and pieces of prints as they are served: by number, without a place, or told why not."""

import io
from html import unescape
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from starlette.testclient import TestClient
from tests.web.framed import EYE_PX, HEIGHT_PX, WIDTH_PX

from eyeplane.deliver.tiles import TileGrid

GRID = TileGrid(width_px=WIDTH_PX, height_px=HEIGHT_PX)
FULL = GRID.full_level
TILE = f"/tiles/s1/2/{FULL}/2_1.jpg"


def test_a_tile_is_that_part_of_the_frame(framed_client: TestClient, framed_folder: Path) -> None:
    answer = framed_client.get(TILE)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "image/jpeg"
    left, top, width, height = GRID.box(FULL, 2, 1)
    with Image.open(framed_folder / "ilves-02.jpg") as frame:
        assert dict(frame.getexif().get_ifd(0x8825))  # the frame tells its place, the tile does not
        part = np.asarray(frame.crop((left, top, left + width, top + height))).astype(int)
    with Image.open(io.BytesIO(answer.content)) as tile:
        assert len(tile.getexif()) == 0
        difference = np.abs(np.asarray(tile) - part)
    assert np.quantile(difference, 0.95) <= 4  # drawn lines are harder than any frame
    assert b"Exif" not in answer.content


def test_a_tile_is_kept_by_who_has_it(framed_client: TestClient, framed_folder: Path) -> None:
    answer = framed_client.get(TILE)
    assert answer.headers["cache-control"] == "private, no-cache"
    tag = answer.headers["etag"]
    (framed_folder / "ilves-02.jpg").unlink()
    again = framed_client.get(TILE, headers={"if-none-match": tag})
    assert (again.status_code, again.content) == (304, b"")
    version = tag.strip('"')[:12]
    assert "immutable" in framed_client.get(f"{TILE}?v={version}").headers["cache-control"]
    assert "immutable" not in framed_client.get(f"{TILE}?v=0").headers["cache-control"]
    assert framed_client.get(TILE.replace("2_1", "2_2")).headers["etag"] != tag


def test_a_frame_that_is_gone_or_changed_is_told_in_a_page(
    framed_client: TestClient, framed_folder: Path
) -> None:
    content = (framed_folder / "ilves-02.jpg").read_bytes()
    (framed_folder / "ilves-01.jpg").write_bytes(content)
    (framed_folder / "ilves-02.jpg").unlink()
    changed, gone = framed_client.get(TILE.replace("/2/", "/1/")), framed_client.get(TILE)
    assert (changed.status_code, gone.status_code) == (409, 404)
    assert "ilves-01.jpg: its file has changed since it was measured" in changed.text
    assert "ilves-02.jpg: its file is not where it was measured" in gone.text
    assert str(framed_folder) not in changed.text + gone.text


def test_no_link_leads_out_of_the_folder(
    framed_client: TestClient, framed_folder: Path, tmp_path: Path
) -> None:
    live = framed_client.app.state.site.sittings()[0]  # type: ignore[attr-defined]  # starlette's
    live.folder = framed_folder
    frame = framed_folder / "ilves-02.jpg"
    frame.rename(tmp_path / "private.jpg")
    frame.symlink_to(tmp_path / "private.jpg")  # the very frame that was measured
    piece = "/eye/s1/2/print.jpg?print=60&mm=60&px=300&tall=200"
    for path in (TILE, piece):
        answer = framed_client.get(path)
        assert answer.status_code == 404
        assert "ilves-02.jpg</bdi>: a link leads to it out of" in unescape(answer.text)
        assert str(tmp_path) not in answer.text
    frame.unlink()
    (tmp_path / "private.jpg").rename(frame)
    assert framed_client.get(TILE).status_code == 200


NOWHERE = [
    "/tiles/s1/999/0/0_0.jpg",
    "/tiles/s1/0/0/0_0.jpg",
    "/tiles/s1/-1/0/0_0.jpg",
    "/tiles/s1/2%2F..%2F..%2Fetc/0/0_0.jpg",
    "/tiles/s1/..%2fframes%2filves-01.jpg/0/0_0.jpg",
    "/tiles/other/2/0/0_0.jpg",
    f"/tiles/s1/{'9' * 5000}/0/0_0.jpg",
    f"/tiles/s1/2/0/{'9' * 5000}_0.jpg",
    "/tiles/s1/2/9/0_0.jpg",
    "/tiles/s1/2/0/1_0.jpg",
    "/tiles/s1/2/0/x_y.jpg",
    "/tiles/s1/2/%D9%A1/0_0.jpg",
    "/tiles/s1/13/0/0_0.jpg",
    "/eye/s1/<script>/print.jpg?print=60&mm=50&px=300&tall=200",
]


def test_nothing_but_tiles_of_known_frames(framed_client: TestClient) -> None:
    for path in NOWHERE:
        answer = framed_client.get(path)
        assert answer.status_code == 404, path
        main = answer.text.partition("<main")[2].partition("</main")[0]
        assert "<script>" not in main, path


PRINT = "/eye/s1/2/print.jpg"


def test_a_piece_of_a_print_is_the_eye_at_its_scale(framed_client: TestClient) -> None:
    # 3000 px on 60 cm: 5 px to a mm; 80 mm in 400 px: one pixel to one.
    answer = framed_client.get(f"{PRINT}?print=60&mm=80&px=400&tall=260")
    assert answer.status_code == 200
    with Image.open(io.BytesIO(answer.content)) as picture:
        assert picture.size == (400, 260)
        shown = np.asarray(picture.convert("L")).astype(float)
    assert shown[124:137, 192:209].mean() < 90  # the pupil is in the middle
    wide = framed_client.get(f"{PRINT}?print=60&mm=600&px=300&tall=200")
    with Image.open(io.BytesIO(wide.content)) as picture:
        assert picture.size == (300, 200)
        dark = np.argwhere(np.asarray(picture.convert("L")) < 110)
    left = dark[dark[:, 1] < 135]
    assert left[:, 1].mean() == pytest.approx(EYE_PX[0] / 10, abs=1.5)


def test_near_the_edge_a_piece_stays_in_the_frame(framed_client: TestClient) -> None:
    answer = framed_client.get(f"{PRINT}?print=30&mm=900&px=900&tall=600")
    with Image.open(io.BytesIO(answer.content)) as picture:
        assert picture.size == (300, 200)


OUT_OF_BOUNDS = [
    "",
    "print=60&mm=50&px=300",
    "print=0&mm=50&px=300&tall=200",
    "print=1e3&mm=50&px=300&tall=200",
    "print=nan&mm=50&px=300&tall=200",
    "print=60&mm=inf&px=300&tall=200",
    "print=60&mm=50&px=5000&tall=200",
    "print=60&mm=50&px=4096&tall=4096",
    "print=60&mm=50&px=-300&tall=200",
    f"print=60&mm={'9' * 400}&px=300&tall=200",
]


def test_sizes_out_of_bounds_are_refused_before_any_work(framed_client: TestClient) -> None:
    for query in OUT_OF_BOUNDS:
        answer = framed_client.get(f"{PRINT}?{query}")
        assert answer.status_code == 422, query
        assert "is missing or out of bounds" in answer.text, query
