"""A file counts as whole when its own structure says so, never earlier.

The layouts are those of the standards named in `look_into`; the files are Pillow's and OpenCV's,
and the pictures of cameras and phones beside the project.
"""

import io
import struct
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from tests.sitting import pictures

from eyeplane.sitting.landing_whole import (
    BEHIND_S,
    BLOCK,
    CUT_S,
    ODD_S,
    PROMISED_S,
    TAIL,
    UNKNOWN_S,
    look_into,
)

JPEG = pictures.jpeg()
KINDS = {
    "a.jpg": JPEG,
    "b.jpg": pictures.jpeg(progressive=True),
    "c.jpg": pictures.two_pictures()[0],
    "d.png": pictures.saved("PNG"),
    "e.tif": pictures.saved("TIFF"),
    "f.tif": pictures.saved("TIFF", compression="tiff_lzw"),
}


def quiet_s(path: Path, data: bytes, *, deep: bool = False) -> float:
    """Return for how long a file with this content must stand still."""
    path.write_bytes(data)
    return look_into(str(path), deep=deep).quiet_s


@pytest.mark.parametrize("name", KINDS)
def test_whole_at_the_last_byte_and_not_before(tmp_path: Path, name: str) -> None:
    data = KINDS[name]
    path = tmp_path / name
    assert quiet_s(path, data) == 0
    cuts = {*range(1, 40), *range(len(data) // 40, len(data), len(data) // 40), len(data) - 1}
    for cut in sorted(cuts):
        for deep in (False, True):
            assert quiet_s(path, data[:cut], deep=deep) > 0, cut


@given(cut=st.integers(1, len(JPEG) - 1))
def test_no_beginning_of_a_jpeg_is_whole(
    tmp_path_factory: pytest.TempPathFactory, cut: int
) -> None:
    path = tmp_path_factory.getbasetemp() / "cut.jpg"
    assert quiet_s(path, JPEG[:cut]) == CUT_S


def test_the_end_of_the_small_picture_inside_is_not_the_end(tmp_path: Path) -> None:
    inner = JPEG.index(b"\xff\xd9") + 2
    assert inner < len(JPEG) / 2
    assert quiet_s(tmp_path / "a.jpg", JPEG[:inner]) == CUT_S
    assert quiet_s(tmp_path / "a.jpg", JPEG[:inner], deep=True) == CUT_S


def test_what_stands_behind_the_picture_is_waited_for_shortly(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    assert quiet_s(path, JPEG + b"trailer of a phone" * 20) == BEHIND_S
    assert quiet_s(path, JPEG + bytes(5000)) == BEHIND_S
    long = JPEG + b"film" * TAIL
    path.write_bytes(long)
    assert look_into(str(path)).deeper
    assert quiet_s(path, long, deep=True) == BEHIND_S


def test_a_second_picture_that_is_announced_is_waited_for(tmp_path: Path) -> None:
    data, end = pictures.two_pictures()
    path = tmp_path / "a.jpg"
    assert quiet_s(path, data) == 0
    assert quiet_s(path, data[:end]) == PROMISED_S
    assert quiet_s(path, data + b"more") == BEHIND_S
    Image.open(io.BytesIO(data)).load()  # the file is one that a reader takes


def test_a_file_made_large_at_once_is_whole_when_it_is_filled(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    size = len(JPEG) + 9000
    for share in (0.0, 0.2, 0.6, 0.99):
        done = int(share * len(JPEG))
        assert quiet_s(path, JPEG[:done] + bytes(size - done), deep=True) >= ODD_S
    assert quiet_s(path, JPEG + bytes(9000), deep=True) == BEHIND_S


@given(start=st.integers(1, (len(JPEG) - 1) // BLOCK - 2), count=st.integers(1, 3))
def test_a_hole_within_is_not_whole(
    tmp_path_factory: pytest.TempPathFactory, start: int, count: int
) -> None:
    path = tmp_path_factory.getbasetemp() / "hole.jpg"
    begin, end = start * BLOCK, min((start + count) * BLOCK, len(JPEG) - 600)
    if end - begin >= BLOCK:
        holed = JPEG[:begin] + bytes(end - begin) + JPEG[end:]
        assert quiet_s(path, holed, deep=True) >= ODD_S


def test_an_end_that_came_before_the_beginning_is_not_whole(tmp_path: Path) -> None:
    blank = bytes(len(JPEG) - 3000) + JPEG[-3000:]
    assert quiet_s(tmp_path / "a.jpg", blank) == CUT_S


def test_a_black_backdrop_is_only_tried_later(tmp_path: Path) -> None:
    # Coded with tables of its own, black is nothing but zeros: no hole, but it looks like one.
    black = io.BytesIO()
    Image.new("RGB", (4000, 3000)).save(black, "JPEG", optimize=True)
    look_at = tmp_path / "a.jpg"
    look_at.write_bytes(black.getvalue())
    look = look_into(str(look_at))
    assert (look.quiet_s, look.tell_s) == (ODD_S, CUT_S)


def box(name: bytes, body: bytes) -> bytes:
    """Return a box: ISO/IEC 14496-12:2015, 4.2."""
    return struct.pack(">I", 8 + len(body)) + name + body


def test_boxes_end_where_the_last_one_says(tmp_path: Path) -> None:
    head = box(b"ftyp", b"heic\0\0\0\0mif1heic") + box(b"meta", b"m" * 300)
    data = head + box(b"mdat", b"x" * 9000)
    path = tmp_path / "a.heic"
    assert quiet_s(path, data) == 0
    assert quiet_s(path, data[:-1]) == CUT_S
    assert quiet_s(path, head) == CUT_S
    assert quiet_s(path, data + bytes(100)) == BEHIND_S
    open_end = head + struct.pack(">I", 0) + b"mdat" + b"x" * 500
    assert quiet_s(path, open_end) == UNKNOWN_S


def test_a_raw_built_like_a_tiff_is_not_cut_within_its_pieces(tmp_path: Path) -> None:
    # TIFF 6.0 (1992): a first directory with a small picture, an inner one (330) with the strip.
    inner = struct.pack("<HHHIIHHIII", 2, 273, 4, 1, 300, 279, 4, 1, 9000, 0)
    outer = struct.pack("<HHHIII", 1, 330, 4, 1, 26, 0)
    data = (struct.pack("<2sHI", b"II", 42, 8) + outer + inner).ljust(300, b"\1") + b"x" * 9000
    path = tmp_path / "a.nef"
    assert quiet_s(path, data) == 0
    assert quiet_s(path, data[:-1]) == CUT_S
    assert quiet_s(path, data + b"maker" * 100) == ODD_S, "there may be more that nothing tells of"
    assert quiet_s(path, struct.pack("<2sHI", b"II", 42, 1 << 30) + b"x" * 500) == CUT_S


def test_what_cannot_be_known_is_waited_for(tmp_path: Path) -> None:
    assert quiet_s(tmp_path / "a.x3f", b"FOVb" + b"x" * 500) == UNKNOWN_S
    assert quiet_s(tmp_path / "a.jpg", b"not a picture, but long enough to tell") == UNKNOWN_S
    assert quiet_s(tmp_path / "a.jpg", b"") == CUT_S
    assert quiet_s(tmp_path / "a.jpg", b"\xff\xd8") == CUT_S
    assert look_into(str(tmp_path / "none.jpg")).quiet_s == CUT_S


def test_all_whole_pictures_are_seen_as_whole(data: Path) -> None:
    found = [*data.glob("people/*.jpg"), *data.glob("nobody/*.jpg"), *data.glob("formats/*.heic")]
    assert len(found) > 10
    assert all(look_into(str(path)).quiet_s <= BEHIND_S for path in found)
