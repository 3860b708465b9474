"""Every word of the pages is used, and every word that is used is there."""

import ast
import re
from pathlib import Path

import pytest
from jinja2 import nodes

import eyeplane.web
from eyeplane.web.page import environment
from eyeplane.web.words import all_words

ROOT = Path(eyeplane.web.__file__).parent
CODE = "\n".join(file.read_text("utf-8") for file in sorted(ROOT.rglob("*.py")))
TEMPLATES = "\n".join(file.read_text("utf-8") for file in sorted(ROOT.rglob("*.j2")))
SCRIPTS = "\n".join(file.read_text("utf-8") for file in sorted((ROOT / "static").glob("*.js")))
FILES = sorted(file.stem for file in (ROOT / "words" / "en").glob("*.toml"))
PUT_TOGETHER = tuple(re.findall(r"`(\w+)\$\{", SCRIPTS))  # `block_${kind}`
KEY = re.compile(r"[a-z_]+(?:\.[A-Za-z_0-9-]+)+")


def texts_of_code() -> set[str]:
    """Return the strings in the modules; the parts of f-strings with {} where values stand."""
    found = set()
    for file in ROOT.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found.add(node.value)
            elif isinstance(node, ast.JoinedStr):
                parts = [p.value if isinstance(p, ast.Constant) else "{}" for p in node.values]
                found.add("".join(str(part) for part in parts))
    return found


def texts_of_templates() -> set[str]:
    """Return the strings in the templates, and what is put together by ~ with {} for values."""
    found = set()
    for file in ROOT.rglob("*.j2"):
        parsed = environment().parse(file.read_text("utf-8"))
        found |= {one.value for one in parsed.find_all(nodes.Const) if isinstance(one.value, str)}
        for one in parsed.find_all(nodes.Concat):
            parts = [p.value if isinstance(p, nodes.Const) else "{}" for p in one.nodes]
            found.add("".join(str(part) for part in parts))
    return found


OF_CODE = texts_of_code()
TEXTS = OF_CODE | texts_of_templates()
PATTERNS = [
    re.compile(
        "".join(".+" if part == "{}" else re.escape(part) for part in re.split(r"(\{\})", text))
    )
    for text in TEXTS
    if "{}" in text and len(text.replace("{}", "")) > 2 and re.fullmatch(r"[\w.{}-]+", text)
]


def used(key: str) -> bool:
    """Return whether a key is asked for somewhere: whole, by a pattern, or as a group."""
    plain = key.removesuffix(".one")
    parts = plain.split(".")
    # script_words("now.script") and words_under("settings.more") take all that stands below.
    asked = {key, *(".".join(parts[:n]) for n in range(2, len(parts) + 1))}
    if asked & TEXTS or (parts[1] == "keys" and parts[-1] in {"press", "does"}):
        return True
    return any(pattern.fullmatch(one) for pattern in PATTERNS for one in asked)


@pytest.mark.parametrize("file", FILES)
def test_every_word_is_used(file: str) -> None:
    known = [key for key in all_words() if key.startswith(f"{file}.")]
    assert [key for key in known if not used(key)] == []


@pytest.mark.parametrize("file", FILES)
def test_every_word_that_is_used_is_there(file: str) -> None:
    known = set(all_words())
    groups = {".".join(key.split(".")[:n]) for key in known for n in range(1, key.count(".") + 1)}
    asked = {
        found
        for text in (CODE, TEMPLATES)
        for found in re.findall(r"\bwords\(\s*[\"']([\w.-]+)[\"']\s*[,)]", text)
        if found.startswith(f"{file}.")
    }
    asked |= {
        one for one in OF_CODE if one.startswith(f"{file}.") and KEY.fullmatch(one)
    } - FILE_NAMES
    assert sorted(one for one in asked if one not in known | groups) == []


# Strings that look like keys and are names of files or modules.
FILE_NAMES = {
    one
    for one in OF_CODE
    if re.search(r"\.(?:py|js|css|html|j2|svg|jpg|pdf|txt|csv|toml|json)$", one)
}


def test_words_for_scripts_are_taken_by_scripts() -> None:
    for prefix in re.findall(r"script_words\(\s*\"([\w.]+)\"", TEMPLATES):
        names = [k.removeprefix(f"{prefix}.") for k in all_words() if k.startswith(f"{prefix}.")]
        assert names, prefix
        lost = [
            name
            for name in names
            if name.removesuffix(".one") not in SCRIPTS
            and name.split(".")[-1] not in SCRIPTS
            and not name.startswith(PUT_TOGETHER)
        ]
        assert lost == [], prefix
