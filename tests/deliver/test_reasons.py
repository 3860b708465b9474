"""What stands behind an answer, in lines."""

from dataclasses import replace
from types import ModuleType

from eyeplane.deliver import frame_reasons
from eyeplane.records import Finding


def test_a_group_says_who_is_out_and_what_would_have_held(builder: ModuleType) -> None:
    lines = frame_reasons(builder.make_sitting().frames[-3])
    assert lines[0] == "The first face from the left has its eyes closed. Take one more."
    assert (
        "Third from the left: out, too near; eye from the focus plane 60\u2009mm nearer (45–75); "
        "reach 22\u2009cm (19–24); f/11 would have held."
    ) in lines
    assert "f/11 would have held everybody where the focus lay." in lines
    assert any(line.startswith("Light at 10 o'clock") for line in lines)
    assert any(line.startswith("Shake: 42\u2009% before looking") for line in lines)


def test_where_nothing_is_known_nothing_is_said(builder: ModuleType) -> None:
    sitting = builder.bare_sitting()
    assert frame_reasons(sitting.frames[0]) == ()
    assert frame_reasons(sitting.frames[-1]) == ()  # unreadable


def test_rows_of_a_group_are_not_told_beside_the_finding_that_tells_them(
    builder: ModuleType,
) -> None:
    frame = builder.make_sitting().frames[-3]
    text = "In, for 60 cm: the first. Out: the third from the left."
    findings = (*frame.answer.findings, Finding(kind="group", text=text))
    lines = frame_reasons(replace(frame, answer=replace(frame.answer, findings=findings)))
    assert text in lines
    assert not any(line.startswith("Third from the left: out") for line in lines)
