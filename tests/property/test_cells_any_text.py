"""Whatever is typed keeps its columns: cutting, padding and wrapping hold for any text at all."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from tui import cells
from tui.cells import Column
from tui.widgets.matching import Finder, fold

ANY_TEXT = st.text(st.characters() | st.sampled_from("\x1b\t\n\u202e\ufe0f\u200d\u0301[/]木🔥☕e"), max_size=40)


@given(ANY_TEXT, st.integers(0, 30), st.sampled_from(["left", "right", "middle"]))
def test_a_padded_text_takes_exactly_its_cells(text: str, room: int, align: cells.Align) -> None:
    assert cell_len(cells.pad(cells.clean(text), room, align)) == room


@given(ANY_TEXT)
def test_a_clean_text_can_be_sent_to_a_terminal_and_stays_clean(text: str) -> None:
    clean = cells.clean(text)
    clean.encode()
    assert not any(ord(sign) < 0x20 or 0x7F <= ord(sign) < 0xA0 for sign in clean)
    assert cells.clean(clean) == clean


@given(ANY_TEXT, st.integers(2, 30))
def test_a_wrapped_text_keeps_every_sign_and_fits(text: str, room: int) -> None:
    lines = cells.wrap(text, room)
    assert all(cell_len(line) <= room for line in lines)
    assert "".join("".join(lines).split()) == "".join(cells.clean(text).split())


@given(
    st.lists(
        st.builds(
            Column,
            st.just("t"),
            width=st.integers(0, 30),
            share=st.integers(1, 4),
            least=st.integers(1, 20),
            drop=st.integers(0, 3),
        ),
        min_size=1,
        max_size=7,
    ),
    st.integers(0, 200),
)
def test_columns_never_overflow_and_fill_when_one_can_grow(columns: list[Column], room: int) -> None:
    widths = cells.layout(columns, room)
    shown = [n for n, width in enumerate(widths) if width]
    taken = sum(widths) + 2 * max(len(shown) - 1, 0)
    assert taken <= room
    if any(not columns[n].width for n in shown) and all(widths[n] >= columns[n].least for n in shown):
        assert taken == room or len(shown) < len(columns)


@given(st.lists(ANY_TEXT, max_size=12), ANY_TEXT, ANY_TEXT)
def test_narrowing_in_two_steps_finds_what_one_step_finds(texts: list[str], first: str, more: str) -> None:
    finder = Finder(texts, str)
    finder(first)
    assert list(finder(first + more)) == list(Finder(texts, str)(first + more))


@given(ANY_TEXT)
def test_folding_twice_changes_nothing_more(text: str) -> None:
    assert fold(fold(text)) == fold(text)
