"""The QR code is held against the reader of OpenCV."""

import re

import cv2
import numpy as np
import numpy.typing as npt
import pytest

from eyeplane.web.qr import QUIET, qr_svg, qr_text

ADDRESS = "http://192.168.1.7:8765/enter?token=AbCdEfGhIjKlMnOpQrStUvWxYz012345"
SCALE = 8  # px to a module


def read(modules: npt.NDArray[np.bool_]) -> str:
    light = np.where(modules, 0, 255).astype(np.uint8)
    big = np.kron(light, np.ones((SCALE, SCALE), np.uint8)).astype(np.uint8)
    text, _, _ = cv2.QRCodeDetector().detectAndDecode(big)
    return str(text)


def test_the_drawing_says_the_address() -> None:
    svg = str(qr_svg(ADDRESS, name="Code"))
    found = re.search(r'viewBox="0 0 (\d+) \1"', svg)
    assert found
    modules = np.zeros((int(found[1]), int(found[1])), dtype=bool)
    for x, y, length in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\3z", svg):
        modules[int(y), int(x) : int(x) + int(length)] = True
    assert read(modules) == ADDRESS
    edges = (modules[:QUIET], modules[-QUIET:], modules[:, :QUIET], modules[:, -QUIET:])
    assert not any(edge.any() for edge in edges)


def test_the_terminal_says_it_too() -> None:
    lines = [line[len("\x1b[30;107m") : -len("\x1b[0m")] for line in qr_text(ADDRESS).split("\n")]
    rows = []
    for line in lines:
        rows.append([sign in "▀█" for sign in line])
        rows.append([sign in "▄█" for sign in line])
    assert read(np.array(rows)) == ADDRESS


@pytest.mark.parametrize("name", ['"><script>', "a & b"])
def test_its_name_is_escaped(name: str) -> None:
    assert name not in qr_svg(ADDRESS, name=name)
