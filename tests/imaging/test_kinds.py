from pathlib import PurePath

import pytest

from eyeplane.errors import FrameError
from eyeplane.imaging import RAW_SUFFIXES, SUFFIXES
from eyeplane.imaging.kinds import file_kind


@pytest.mark.parametrize(
    ("head", "name", "kind"),
    [
        (b"\xff\xd8\xff\xe1", "a.jpg", "jpeg"),
        (b"\xff\xd8\xff\xdb", "a.nef", "jpeg"),
        (b"\x89PNG\r\n\x1a\n", "a.jpg", "png"),
        (b"II*\0", "a.tif", "tiff"),
        (b"MM\0*", "a.TIFF", "tiff"),
        (b"II*\0", "a.DNG", "raw"),
        (b"FUJIFILMCCD-RAW", "a.raf", "raw"),
        (b"\0\0\0\x18ftypheic", "a.heic", "heic"),
        (b"\0\0\0\x18ftypcrx ", "a.cr3", "raw"),
    ],
)
def test_first_bytes_decide(head: bytes, name: str, kind: str) -> None:
    assert file_kind(head, PurePath(name)) == kind


@pytest.mark.parametrize(
    ("head", "words"),
    [
        (b"Dear photographer", "not a picture"),
        (b"\0\0\0\x20ftypisom", "video"),
        (b"%PDF-1.7", "not a picture"),
        (b"x", "not a picture"),
    ],
)
def test_foreign_files_are_named(head: bytes, words: str) -> None:
    with pytest.raises(FrameError, match=words):
        file_kind(head, PurePath("a.jpg"))


def test_suffixes_are_lower_case_with_a_dot() -> None:
    assert RAW_SUFFIXES < SUFFIXES
    assert all(s.startswith(".") and s == s.lower() for s in SUFFIXES)
