"""A ladder shot at the printed chart, from files: rendered once, moved by exact transfer."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.kit import spreads
from tests.kit.camera import Pose, render_sheet, write_frame
from tests.sitting.made import reading

from eyeplane.errors import InputError
from eyeplane.imaging import open_picture
from eyeplane.kit.chart_design import chart_sheet
from eyeplane.records import MeasureSettings, SittingFrame, Viewing
from eyeplane.sitting.ladder_asked import LadderAsked
from eyeplane.sitting.ladder_chart import chart_ladder
from eyeplane.sitting.run import make_sitting

PITCH_UM, FOCAL_MM = 6.0, 85.0
WIDE, HIGH = 1040, 740
# 17 px in a degree on 10 cm: the print takes a line of 2.4 px.
ASKED = LadderAsked(prints_cm=(10.0,), name="chart")
MOVED = (  # 1 s over the shutter time, line px, its direction in degrees
    (500, 0.0, 0.0),
    (500, 0.2, 70.0),
    (125, 1.2, 45.0),
    (60, 4.5, 45.0),
    (60, 1.6, 120.0),
    (30, 6.0, 10.0),
)


@pytest.fixture(scope="module")
def still() -> NDArray[np.float64]:
    """Return a frame of the chart at rest, linear."""
    return render_sheet(
        chart_sheet("A4"),
        pose=Pose(distance_mm=FOCAL_MM * (1 + 297.0 / (0.93 * WIDE * PITCH_UM / 1000.0))),
        focal_length_mm=FOCAL_MM,
        pitch_um=PITCH_UM,
        width_px=WIDE,
        height_px=HIGH,
        blur=spreads.gaussian(0.7),
        steps=2,
    )


def moved(still: NDArray[np.float64], line_px: float, angle_deg: float) -> NDArray[np.float64]:
    """Return a frame in which the camera drew a line, by its exact transfer."""
    padded = np.pad(still, 24, mode="edge")
    v, u = np.meshgrid(*(np.fft.fftfreq(n) for n in padded.shape), indexing="ij")
    c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    blurred = np.fft.ifft2(np.fft.fft2(padded) * np.sinc(line_px * (u * c - v * s))).real
    return np.asarray(blurred[24:-24, 24:-24], float)


def frames_of(paths: list[Path]) -> tuple[SittingFrame, ...]:
    """Return frames without anybody in them, as the search for faces leaves them."""
    readings = []
    for path in paths:
        picture = open_picture(path, settings=MeasureSettings())
        shown = reading(
            str(path),
            status="nobody",
            exposure=picture.exposure,
            size_px=(picture.width_px, picture.height_px),
        )
        readings.append((replace(shown, pitch_um=picture.pitch_um), ()))
    return make_sitting(readings, viewing=Viewing(print_cm=10.0), name="chart").frames


@pytest.mark.slow
def test_lines_of_the_hand_are_read_at_the_chart(
    still: NDArray[np.float64], tmp_path: Path
) -> None:
    paths = []
    rng = np.random.default_rng(1)
    for number, (part, line_px, angle_deg) in enumerate(MOVED):
        linear = moved(still, line_px, angle_deg) + rng.normal(0, 0.004, still.shape)
        paths.append(
            write_frame(
                tmp_path / f"{number}.jpg",
                linear,
                pitch_um=PITCH_UM,
                exposure_time_s=1.0 / part,
                taken=f"2026:05:04 10:{number:02d}:00",
            )
        )
    result = chart_ladder(frames_of(paths), ASKED, settings=MeasureSettings())
    for one, (_, line_px, _) in zip(result.frames, MOVED, strict=True):
        assert one.line_px is None or one.line_px.value == pytest.approx(line_px, abs=0.45)
        assert one.verdict == ("shake" if line_px > 2.4 else "holds")
    # Marks that cannot be read any more are shaken: in the other frames they could be.
    assert [one.name for one in result.frames if one.line_px is None] == ["5.jpg"]
    (shake,) = result.parts
    assert shake.mover == "shake"
    assert result.subject == "chart"
    assert [(step.held, step.frames) for step in shake.steps] == [(2, 2), (1, 1), (1, 2), (0, 1)]
    limit = shake.limits[0].shutter_s
    assert limit is not None
    assert 1 / 250 < limit.value < 1 / 30
    assert any("switch it to manual" in note for note in result.notes)


@pytest.mark.slow
def test_soft_from_the_first_to_the_last_frame_is_refused(
    still: NDArray[np.float64], tmp_path: Path
) -> None:
    paths = [
        write_frame(
            tmp_path / f"{part}.jpg",
            moved(still, 5.0, 20.0),
            pitch_um=PITCH_UM,
            exposure_time_s=1.0 / part,
        )
        for part in (30,)
    ]
    with pytest.raises(InputError, match="even the sharpest of these frames are softer") as refused:
        chart_ladder(frames_of(paths), ASKED, settings=MeasureSettings())
    assert "1/1000 s" in refused.value.hint


def test_neither_a_face_nor_the_chart(tmp_path: Path) -> None:
    noise = np.random.default_rng(2).uniform(0.1, 0.4, (240, 320))
    paths = [write_frame(tmp_path / "wall.jpg", noise, pitch_um=PITCH_UM)]
    with pytest.raises(InputError, match="no face was found in these 1 frames") as refused:
        chart_ladder(frames_of(paths), LadderAsked(prints_cm=(2.0,)), settings=MeasureSettings())
    assert "kit print chart" in refused.value.hint
