"""What stands in a form or an address is read as on the command line, all that is wrong told."""

import pytest
from click.testing import CliRunner
from hypothesis import given as tried
from hypothesis import strategies as st

from eyeplane.asked.plan_entered import NAMES, entered, sentence_of
from eyeplane.asked.plan_scene_options import TABLES
from eyeplane.cli import main
from eyeplane.errors import InputError

SAMPLES = [
    ("focal-length", "85mm"),
    ("f-number", "2.8"),
    ("shutter", "4ms"),
    ("distance", "6ft 2in"),
    ("light", "flash 400 Ws softbox"),
    ("who", "child 18 months"),
    ("focus-bias", "14 mm behind (11-17)"),
    ("print-cm", "24in"),
    ("viewing-cm", "diagonal"),
    ("framing", "Head and Shoulders"),
    ("glasses", "yes"),
    ("glasses", "no"),
]


@pytest.mark.parametrize(("name", "text"), SAMPLES)
def test_a_field_means_what_the_option_means(name: str, text: str) -> None:
    option = next(one for one in TABLES["sitter"] if one.name == name)
    said = entered("sitter", [(name, f"  {text} ")])
    assert said.wrong == {}
    read = said.typed[option.key]
    expected = option.typed(text)
    assert read == (expected.value if isinstance(read, bool) else expected)
    assert said.texts == {name: text}


@pytest.mark.parametrize(
    ("name", "text"),
    [("f-number", "8x"), ("distance", "2"), ("light", "bright"), ("print-cm", "1e9")],
)
def test_what_is_wrong_is_said_as_on_the_command_line(name: str, text: str) -> None:
    said = entered("sitter", [(name, text)])
    assert list(said.wrong) == [name]
    assert name.replace("-", "_") not in said.typed
    result = CliRunner().invoke(main, ["plan", "sitter", f"--{name}", text])
    told = " ".join(result.stderr.split())
    first = said.wrong[name].partition(": ")[0]
    assert first in told


def test_everything_wrong_is_told_at_once() -> None:
    said = entered(
        "group",
        [("rows", "0"), ("f-number", "x"), ("rows", "none"), ("kit", "a\x07b"), ("apertur", "2")],
    )
    assert set(said.wrong) == {"rows", "f-number", "kit", "apertur"}
    assert "'none'" in said.wrong["rows"]  # of a name that comes again the last holds
    assert said.named.kit is None
    assert all(text.endswith(".") for text in said.wrong.values())


def test_what_is_left_open_is_not_there() -> None:
    said = entered("sitter", [("f-number", ""), ("kit", "   "), ("who", "adult")])
    assert dict(said.texts) == {"who": "adult"}
    assert said.named.kit is None


def test_names_and_the_switch_are_taken() -> None:
    pairs = [(name, f"my {name}") for name in NAMES] + [("without-learned", "yes")]
    said = entered("burst", pairs)
    assert said.wrong == {}
    assert said.without_learned
    assert (said.named.kit, said.named.focus_setting) == ("my kit", "my focus-setting")
    assert "without-learned" in entered("sitter", [("without-learned", "perhaps")]).wrong


@tried(st.text(max_size=60), st.sampled_from([one.name for one in TABLES["sitter"]]))
def test_no_text_breaks_it(text: str, name: str) -> None:
    said = entered("sitter", [(name, text)])
    assert bool(said.wrong) + bool(said.typed) <= 1
    for sentence in said.wrong.values():
        assert sentence.endswith(".")
        assert sentence.isprintable() or "'" in sentence


def test_sentences_begin_with_a_capital_but_apertures_do_not() -> None:
    assert sentence_of(InputError("too dark", where="light", hint="Bring more")) == (
        "Too dark. Bring more."
    )
    told = sentence_of(InputError("f/8 is too small", where="light", hint=""))
    assert told == "f/8 is too small."
