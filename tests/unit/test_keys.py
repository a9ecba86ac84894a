"""The key table: no key with two meanings, none that a terminal swallows, none without a word."""

from __future__ import annotations

import importlib
import pkgutil
from collections import Counter

import pytest
from textual.app import App
from textual.binding import Binding
from textual.widget import Widget

import tui.widgets
from tui import keys
from tui.keys import PLACES, TABLE, UNSAFE_KEYS, bindings, by_place, is_known, key_for, sign_of

#: Keys of the table that only move within what has the focus.
MOVING = {"left", "right"}


def test_no_key_has_two_meanings() -> None:
    counted = Counter(key for row in TABLE for key in row.keys)
    assert [key for key, times in counted.items() if times > 1] == []


def test_no_action_stands_twice() -> None:
    assert len({row.action for row in TABLE}) == len(TABLE)


def test_no_key_is_one_that_terminals_swallow_or_cannot_tell_apart() -> None:
    assert [row.action for row in TABLE if UNSAFE_KEYS & set(row.keys)] == []
    assert {"ctrl+i", "ctrl+j", "ctrl+m", "ctrl+h", "ctrl+s", "ctrl+q", "ctrl+z", "ctrl+c"} <= UNSAFE_KEYS


def test_a_function_key_is_never_the_only_way() -> None:
    for row in TABLE:
        assert any(not (key[0] == "f" and key[1:].isdigit()) for key in row.keys), row.action


def test_every_row_has_a_label_that_fits_and_a_sentence() -> None:
    for row in TABLE:
        assert 0 < len(row.label) <= 12, row
        assert row.about.endswith("."), row
        assert row.about[0].isupper(), row
        assert row.where in PLACES, row
        assert hasattr(App, f"action_{row.action}") is (row.action == "quit"), "a toolkit's action must not answer"


def test_no_label_stands_for_two_actions() -> None:
    counted = Counter(row.label for row in TABLE if row.shown)
    assert [label for label, times in counted.items() if times > 1] == []


@pytest.mark.parametrize(
    ("key", "sign"),
    [("question_mark", "?"), ("full_stop", "."), ("ctrl+o", "Ctrl+O"), ("f1", "F1"), ("b", "b"), ("pageup", "PgUp"),
     ("shift+tab", "Shift+Tab"), ("f", "f")],
)  # fmt: skip
def test_a_key_is_shown_as_people_write_it(key: str, sign: str) -> None:
    assert sign_of(key) == sign


def test_bindings_carry_label_sentence_and_every_key() -> None:
    (help_binding,) = bindings("help")
    assert isinstance(help_binding, Binding)
    assert help_binding.key.split(",") == ["question_mark", "f1"]
    assert (help_binding.action, help_binding.description) == ("help", "help")
    assert help_binding.tooltip == key_for("help").about


def test_a_page_may_have_a_better_word_for_a_key() -> None:
    (binding,) = bindings(cancel="retire")
    assert isinstance(binding, Binding)
    assert (binding.action, binding.description) == ("cancel", "retire")


def test_an_action_that_the_table_does_not_have_is_refused() -> None:
    with pytest.raises(KeyError):
        bindings("teleport")


def test_the_help_screen_lists_every_key_once() -> None:
    listed = [key for _heading, rows in by_place() for key in rows]
    assert sorted(key.action for key in listed) == sorted(key.action for key in TABLE)


def test_widgets_bind_only_keys_of_the_table_and_letters_never_before_the_focus() -> None:
    own = [
        thing
        for module in pkgutil.iter_modules(tui.widgets.__path__)
        for thing in vars(importlib.import_module(f"tui.widgets.{module.name}")).values()
        if isinstance(thing, type) and issubclass(thing, Widget) and thing.__module__ == f"tui.widgets.{module.name}"
    ]
    assert len(own) > 10
    for widget in own:
        for binding in vars(widget).get("BINDINGS", ()):
            assert isinstance(binding, Binding)
            assert not binding.priority, widget
            assert is_known(binding.action), (widget, binding)
            assert set(binding.key.split(",")) <= {*key_for(binding.action).keys, *MOVING}, (widget, binding)


def test_the_line_of_keys_names_what_the_three_main_jobs_need() -> None:
    assert all(key_for(action).shown for action in ("book", "tick", "go_prep", "export"))
    assert len(keys.key_for("book").keys[0]) == len(key_for("export").keys[0]) == 1
