"""The kit table is read, and a bad one refused in one sentence."""

from pathlib import Path

import pytest

from eyeplane.asked.kits import kit_pitches_um
from eyeplane.errors import InputError


def test_no_table_is_no_kit(tmp_path: Path) -> None:
    assert kit_pitches_um(tmp_path / "kits.toml") == ()


def test_bodies_and_pitches(tmp_path: Path) -> None:
    path = tmp_path / "kits.toml"
    path.write_text('[pitch_um]\n"Studio body" = 4.35\n"Old body" = 6\n', encoding="utf-8")
    assert kit_pitches_um(path) == (("Old body", 6.0), ("Studio body", 4.35))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[pitch_um]\n"Body" = 0.00435\n', "no pixel pitch"),
        ('[pitch_um]\n"Body" = "4.35"\n', "no pixel pitch"),
        ('[pitch_um]\n"Body" = nan\n', "no pixel pitch"),
        ("pitch_um = 4\n[", "cannot be read"),
        ("pitch_um = true\n", "no pixel pitch"),
    ],
)
def test_a_bad_table_is_refused(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "kits.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=said):
        kit_pitches_um(path)
