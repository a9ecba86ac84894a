"""README.md and DEVELOPERS.md name the keys, verbs, options and files that there are, and all of them."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from tui.keys import TABLE, sign_of
from tui.lines.entry import VERBS, parser_for

HERE = Path(__file__).parents[2]
README = (HERE / "README.md").read_text("utf-8")
DEVELOPERS = (HERE / "DEVELOPERS.md").read_text("utf-8")
BOTH = f"{README}\n{DEVELOPERS}"

#: Lines of a code block that show how a verb is used, with what each does behind two blanks or more.
EXAMPLES = re.findall(r"^ {4}(kitwright .*)$", README, re.MULTILINE)


def signs(text: str) -> set[str]:
    """The keys that the table in a text names: backticked or plain signs in its first column; `1` to `6` are six."""
    found: set[str] = set()
    for cell in re.findall(r"^\| ([^|]+) \|", text, re.MULTILINE):
        for first, last in re.findall(r"`(\d)` to `(\d)`", cell):
            found |= {str(n) for n in range(int(first), int(last) + 1)}
        found |= set(re.findall(r"`([^`]+)`", cell)) | {word for word in re.split(r"[ ,]+", cell) if word[:1].isupper()}
    return found - {"Key"}


def test_every_key_that_the_readme_names_is_in_the_key_table() -> None:
    there = {sign_of(key) for row in TABLE for key in row.keys}
    assert signs(README) - there == set()
    assert len(signs(README)) > 10


def test_every_letter_of_the_key_table_stands_in_the_readme() -> None:
    named = signs(README)
    letters = {sign for row in TABLE for sign in [sign_of(row.keys[0])] if len(sign) == 1}
    assert letters - named == set()


def test_every_verb_that_is_named_is_there() -> None:
    code = "\n".join(re.findall(r"`[^`]+`|^ {4}.*$", BOTH, re.MULTILINE))
    assert set(re.findall(r"\bkitwright ([a-z][a-z-]*)", code)) - set(VERBS) == set()


def test_every_verb_stands_in_the_readme() -> None:
    named = set(re.findall(r"[a-z][a-z-]*", "\n".join(EXAMPLES)))
    assert set(VERBS) - named == set()


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_example_of_the_readme_is_understood(example: str) -> None:
    for one in re.split(r", (?=kitwright )", re.split(r" {2,}", example)[0]):
        words = shlex.split(one)
        assert parser_for(words[1]).parse_args(words[2:])


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_option_that_an_example_speaks_of_is_there(example: str) -> None:
    known = parser_for(re.findall(r"[a-z][a-z-]*", example)[1]).format_help()
    for option in re.findall(r"--[a-z][a-z-]+", example):
        assert option in known, option


def test_every_file_and_folder_that_is_named_is_there() -> None:
    named = set(re.findall(r"`((?:scheduling|tui|demo|tests|\.ci)/[\w./-]*)`", BOTH))
    assert named
    assert [name for name in sorted(named) if not (HERE / name).exists()] == []


def test_every_setting_of_the_environment_that_is_named_is_read() -> None:
    code = "\n".join(path.read_text("utf-8") for path in (HERE / "tui").rglob("*.py"))
    for name in set(re.findall(r"`([A-Z]{2,}(?:_[A-Z]+)+)`", BOTH)):
        assert name in code, name
