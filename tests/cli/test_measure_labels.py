"""What a photographer says of a sitting goes with the run that measures it."""

from pathlib import Path

import pytest
from click.testing import CliRunner
from tests.sitting.taught import sitting_in

from eyeplane.cli import main
from eyeplane.records import Sitting, Viewing
from eyeplane.records.lessons import SittingLabels
from eyeplane.sitting import RunOptions, make_sitting


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> list[RunOptions]:
    """Return what a run was asked; a made-up sitting stands for the measured one."""
    options: list[RunOptions] = []
    frames = [(frame.reading, ()) for frame in sitting_in(tmp_path, 1)]

    def fake(paths: list[Path], **given: object) -> Sitting:
        run = given["options"]
        assert isinstance(run, RunOptions)
        options.append(run)
        if run.heard is not None:
            run.heard("Nothing was learned from these frames: the disk is full.")
        return make_sitting(frames, viewing=Viewing(), name=str(paths[0]))

    monkeypatch.setattr("eyeplane.cli.measure.measure_sitting", fake)
    return options


def test_labels_go_along_and_trouble_is_told_beside_the_answer(
    asked: list[RunOptions], tmp_path: Path
) -> None:
    words = ["--sitter", " child  3 ", "--stabiliser", "on", "--focus-setting", "eye, single"]
    done = CliRunner().invoke(main, ["measure", str(tmp_path), *words, "--kit", "Studio 85"])
    assert done.exit_code == 0, done.output
    assert asked[0].labels == SittingLabels(
        sitter="child 3", stabiliser="on", focus_setting="eye, single", kit="Studio 85"
    )
    assert asked[0].learns
    assert "Nothing was learned from these frames: the disk is full." in done.stderr
    assert "frames hold" in done.stdout


def test_a_run_may_teach_nothing(asked: list[RunOptions], tmp_path: Path) -> None:
    CliRunner().invoke(main, ["measure", str(tmp_path), "--without-learning"])
    assert not asked[0].learns


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--stabiliser", "2 stops"], "'2 stops' is not one of 'on', 'off', 'tripod'"),
        (["--sitter", "a\x07b"], "is no label"),
    ],
)
def test_a_label_that_cannot_be_one(words: list[str], said: str, asked: list[RunOptions]) -> None:
    done = CliRunner().invoke(main, ["measure", ".", *words])
    assert done.exit_code == 2
    assert said in done.output
    assert asked == []
