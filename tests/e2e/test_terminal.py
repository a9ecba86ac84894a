"""The widgets in a real terminal: keys in one burst, paste, another size, no colour, and a sudden end."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

from tests.support.terminal import TMUX, Terminal

pytestmark = pytest.mark.skipif(TMUX is None, reason="tmux is not installed")
HERE = Path(__file__).parents[2]


def gallery(size: tuple[int, int] = (80, 24), **environ: str) -> Terminal:
    settings: Mapping[str, str] = {"PYTHONPATH": str(HERE), **environ}
    return Terminal([sys.executable, "-m", "tests.support.gallery"], size=size, environ=settings, folder=HERE)


@pytest.fixture
def terminal() -> Iterator[Terminal]:
    with gallery() as one:
        one.wait_for("Press u to undo.")
        yield one


def test_keys_in_one_burst_reach_what_they_were_meant_for(terminal: Terminal) -> None:
    terminal.type("b00012\r")
    terminal.wait_for("picked Picked(row_id=12, typed='00012')")
    terminal.type("nAnn [/]\rsat\r\rguild\r")
    terminal.wait_for(lambda text: "Ann [/]" in text and "= Sat 6 February 2027" in text and "Guild hall" in text)


def test_a_paste_into_one_line_says_what_it_left_out(terminal: Terminal) -> None:
    terminal.type("n")
    terminal.wait_for("A new class date")
    terminal.paste("木版画\nBob")
    terminal.wait_for("! Only the first line was pasted; 1 more line was left")
    assert "木版画" in terminal.text()


def test_another_window_size_is_filled_and_too_small_a_one_says_so(terminal: Terminal) -> None:
    terminal.resize(120, 40)
    terminal.wait_for(lambda text: "Paper & Press" in text and len(text.split("\n")) == 40)
    terminal.resize(30, 8)
    terminal.wait_for(lambda text: text.strip() == "make the window larger")
    terminal.resize(80, 24)
    terminal.wait_for("Press u to undo.")


def test_without_colour_no_colour_is_sent_and_the_cursor_is_in_reverse() -> None:
    with gallery(NO_COLOR="1") as terminal:
        terminal.wait_for("Press u to undo.")
        codes = terminal.codes()
        assert "\x1b[7m" in codes
        assert "\x1b[38;" not in codes
        assert "\x1b[48;" not in codes


def test_a_kill_ends_the_program_at_once(terminal: Terminal) -> None:
    assert terminal.is_running
    terminal.kill()
    assert terminal.wait_for_end() == 137
