"""The shipped weights: complete, licensed, unchanged; a changed file is refused."""

import hashlib
import os
import shutil
from pathlib import Path

import pytest

from eyeplane.errors import EyeplaneError
from eyeplane.faces.nets import (
    DETECTOR,
    IRIS,
    MESH,
    Net,
    checksums,
    net,
    read_weights,
    weights_folder,
)

SHIPPED = Path(str(weights_folder()))


def test_every_net_is_on_the_list_and_is_what_the_list_says() -> None:
    listed = checksums(SHIPPED)
    assert set(listed) == {path.name for path in SHIPPED.glob("*.tflite")} == {DETECTOR, MESH, IRIS}
    for name, digest in listed.items():
        assert hashlib.sha256((SHIPPED / name).read_bytes()).hexdigest() == digest


def test_licence_text_is_shipped_beside_the_weights() -> None:
    text = (SHIPPED / "LICENSE.txt").read_text(encoding="utf-8")
    assert "Apache License" in text
    assert "TERMS AND CONDITIONS FOR USE, REPRODUCTION, AND DISTRIBUTION" in text


def test_a_changed_net_is_refused(tmp_path: Path) -> None:
    for path in SHIPPED.iterdir():
        shutil.copy(path, tmp_path)
    content = bytearray((tmp_path / MESH).read_bytes())
    content[len(content) // 2] ^= 1
    (tmp_path / MESH).write_bytes(content)
    assert read_weights(IRIS, tmp_path)
    with pytest.raises(EyeplaneError, match="not the file that was shipped"):
        read_weights(MESH, tmp_path)


def test_a_missing_or_unlisted_net_is_refused(tmp_path: Path) -> None:
    (tmp_path / "SHA256SUMS").write_text(f"{'0' * 64}  {MESH}\n", encoding="ascii")
    with pytest.raises(EyeplaneError, match="cannot be read"):
        read_weights(MESH, tmp_path)
    with pytest.raises(EyeplaneError, match="no checksum"):
        read_weights(IRIS, tmp_path)


def test_making_a_net_writes_nothing_on_the_screen(capfd: pytest.CaptureFixture[str]) -> None:
    Net(read_weights(MESH, SHIPPED))
    os.write(2, b"heard")
    assert capfd.readouterr() == ("", "heard")


def test_a_net_is_made_once_a_process() -> None:
    assert net(DETECTOR) is net(DETECTOR)
