"""Findings: each once, with its own advice, and whose they are."""

from dataclasses import replace
from types import ModuleType

from eyeplane.deliver.findings import finding_parts, findings_line
from eyeplane.records import Finding, FrameAnswer

SOFT = Finding(kind="far eye", text="The far eye is soft.", advice="f/4 would have held both.")
DARK = Finding(kind="dark", text="The eyes got 2 % of white.")
SHUT = Finding(kind="closed", text="The right face: both eyes are closed, a blink.")


def group(builder: ModuleType) -> FrameAnswer:
    """Return an answer with three sitters, the third of which decides, and a bystander."""
    answer: FrameAnswer = builder.make_sitting().frames[-3].answer
    faces = [replace(face, findings=()) for face in answer.faces]
    return replace(answer, faces=tuple(faces), findings=())


def test_order_and_owner(builder: ModuleType) -> None:
    answer = group(builder)
    faces = list(answer.faces)
    faces[0] = replace(faces[0], findings=(SOFT, SHUT))
    faces[2] = replace(faces[2], findings=(SOFT,))
    faces[3] = replace(faces[3], findings=(SOFT,))  # a bystander
    parts = finding_parts(replace(answer, faces=tuple(faces), findings=(DARK,)))
    assert findings_line(parts) == (
        "Second face from the left: the right face: both eyes are closed, a blink.",
        "The eyes got 2 % of white.",
        "Third face from the left: the far eye is soft. f/4 would have held both.",
        "Second face from the left: the far eye is soft. f/4 would have held both.",
    )


def test_a_name_that_the_text_says_is_not_said_twice(builder: ModuleType) -> None:
    answer = group(builder)
    faces = list(answer.faces)
    faces[0] = replace(faces[0], name="the right face", findings=(SHUT,))
    (part,) = finding_parts(replace(answer, faces=tuple(faces)))
    assert part.who == ""


def test_a_single_sitter_needs_no_name(builder: ModuleType) -> None:
    answer = builder.bare_sitting().frames[0].answer
    face = replace(answer.faces[0], name="the face", findings=(SOFT,))
    (part,) = finding_parts(replace(answer, faces=(face,)))
    assert (part.who, part.text) == ("", "The far eye is soft.")


def test_what_is_said_already_is_left_out(builder: ModuleType) -> None:
    answer = builder.bare_sitting().frames[0].answer
    face = replace(answer.faces[0], findings=(SOFT, DARK))
    said = replace(
        answer,
        sentence="Near eye holds 35 cm. The eyes got 2 % of white.",
        advice="f/4 would have held both.",
        faces=(face,),
        findings=(SOFT,),
    )
    (part,) = finding_parts(said)
    assert (part.text, part.advice) == ("The far eye is soft.", "")
