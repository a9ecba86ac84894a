"""Cutting, padding, columns and drawings, all in terminal cells and in any script."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from rich.cells import cell_len

from tui import cells
from tui.cells import Column

TEXTS = [
    "木版画",
    "Ame\u0301lie",
    "🔥 Fire",
    "☕",
    "☕\ufe0f cup",
    "Ann [/] Smith [bold",
    "محمد",
    "👩‍🎨 painter",
    "",
    "plain",
]


@pytest.mark.parametrize("text", TEXTS)
@pytest.mark.parametrize("align", ["left", "right", "middle"])
def test_padding_gives_exactly_the_cells_asked_for(text: str, align: cells.Align) -> None:
    for room in range(12):
        assert cell_len(cells.pad(text, room, align)) == room


@pytest.mark.parametrize("text", TEXTS)
def test_cutting_never_takes_more_cells_than_there_are(text: str) -> None:
    for room in range(12):
        assert cell_len(cells.cut(text, room)) <= room


def test_what_fits_is_not_touched() -> None:
    assert cells.cut("木版画", 6) == "木版画"
    assert cells.cut("", 0) == ""


def test_what_is_cut_says_so() -> None:
    assert cells.cut("Guild hall", 6) == "Guild…"
    assert cells.cut("木版画", 5) == "木版…"
    assert cells.cut("木版画", 4) == "木…"
    assert cells.cut("Guild hall", 6, more="~") == "Guild~"


def test_an_accent_stays_with_its_letter() -> None:
    assert cells.cut("Noe\u0301mie", 4) == "Noe\u0301…"


def test_control_signs_and_direction_marks_never_reach_the_terminal() -> None:
    assert cells.clean("a\x1b[2Jb\tc\nd\x9be") == "a [2Jb c d e"
    assert cells.clean("user\u202etxt.exe") == "usertxt.exe"
    assert cells.clean("half \ud83d") == "half \ufffd"
    assert cells.clean("e\u0301 👩‍🎨 محمد 木") == "e\u0301 👩‍🎨 محمد 木"


def test_wrapping_breaks_between_words_and_within_a_word_that_is_too_long() -> None:
    assert cells.wrap("The class is full.", 9) == ["The class", "is full."]
    assert cells.wrap("木版画木版画 ok", 6) == ["木版画", "木版画", "ok"]
    assert cells.wrap("", 9) == []


def test_columns_fill_the_width_and_share_what_is_left() -> None:
    columns = (Column("a", 10), Column("b", share=1), Column("c", share=2))
    widths = cells.layout(columns, 80)
    assert widths == [10, 22, 44]
    assert sum(widths) + 4 == 80


def test_what_does_not_divide_goes_to_the_first_columns() -> None:
    assert cells.layout((Column("a"), Column("b"), Column("c")), 24) == [7, 7, 6]


def test_columns_that_may_go_are_left_out_before_others_get_too_narrow() -> None:
    columns = (Column("name", least=20), Column("mail", 20, drop=2), Column("town", 10, drop=1))
    assert cells.layout(columns, 60) == [26, 20, 10]
    assert cells.layout(columns, 40) == [28, 0, 10]
    assert cells.layout(columns, 25) == [25, 0, 0]


@pytest.mark.parametrize("room", range(0, 90, 3))
def test_columns_never_take_more_than_there_is(room: int) -> None:
    columns = (Column("a", 16), Column("b", least=12), Column("c", 21), Column("d", drop=1))
    widths = cells.layout(columns, room)
    shown = [width for width in widths if width]
    assert all(width >= 0 for width in widths)
    assert sum(shown) <= max(room, 0)


@pytest.mark.parametrize(
    ("minutes", "limit", "drawing", "word"),
    [
        (0, 240, "·········│  ", "free"),
        (60, 240, "╱╱╱······│  ", "room"),
        (200, 240, "╱╱╱╱╱╱╱╱·│  ", "nearly full"),
        (239, 240, "╱╱╱╱╱╱╱╱·│  ", "nearly full"),
        (240, 240, "╱╱╱╱╱╱╱╱╱│  ", "full"),
        (241, 240, "╱╱╱╱╱╱╱╱╱│╳ ", "over the limit"),
        (900, 240, "╱╱╱╱╱╱╱╱╱│╳╳", "over the limit"),
        (0, 0, "│           ", "blocked"),
        (30, 0, "│╳          ", "over the limit"),
    ],
)
def test_a_days_load_is_drawn_against_its_limit_with_a_word(minutes: int, limit: int, drawing: str, word: str) -> None:
    drawn = cells.load_strokes(minutes, limit, 12)
    assert (drawn.drawing, drawn.word) == (drawing, word)
    assert drawn.is_over is (minutes > limit)


@pytest.mark.parametrize(
    ("taken", "seats", "minimum", "drawing", "word"),
    [
        (0, 8, 4, "········", "4 short of 4"),
        (3, 8, 4, "╱╱╱·····", "1 short of 4"),
        (5, 8, 4, "╱╱╱╱╱···", "3 left"),
        (8, 8, 4, "╱╱╱╱╱╱╱╱", "full"),
        (9, 8, 4, "╱╱╱╱╱╱╱╳", "1 too many"),
        (1, 40, 0, "╱···········", "39 left"),
        (39, 40, 0, "╱╱╱╱╱╱╱╱╱╱╱·", "1 left"),
        (0, 0, 0, "", "full"),
    ],
)
def test_seats_are_drawn_a_stroke_a_head_with_a_word(
    taken: int, seats: int, minimum: int, drawing: str, word: str
) -> None:
    drawn = cells.seat_strokes(taken, seats, minimum)
    assert (drawn.drawing, drawn.word) == (drawing, word)


@pytest.mark.parametrize("signs", [cells.PENCIL, cells.TYPEWRITER])
def test_every_sign_takes_one_cell_and_the_second_set_is_ascii(signs: cells.Signs) -> None:
    for name in ("stroke", "over", "free", "limit", "margin", "cursor", "more"):
        sign = getattr(signs, name)
        assert cell_len(sign) == len(sign) == 1
        assert ord(sign) < 0x10000
        assert sign.isascii() or signs is cells.PENCIL


def test_lines_stay_and_nothing_in_them_reaches_the_terminal() -> None:
    assert cells.lines("a\n\x1b[2Jb\x9bc\u061c\n\u2028\u202ed") == "a\n [2Jb c\nd"


def _is_safe(node: ast.expr) -> bool:
    """Fixed words, a constant of ours, or what a function of `cells` made."""
    if isinstance(node, ast.Constant) or (isinstance(node, ast.Attribute) and node.attr.isupper()):
        return True
    if isinstance(node, ast.Subscript):
        return _is_safe(node.value)
    if isinstance(node, ast.BinOp):
        return isinstance(node.left, ast.Constant)
    if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
        return False
    return isinstance(node.func.value, ast.Name) and node.func.value.id == "cells"


def test_no_screen_draws_typed_words_that_were_not_cleaned() -> None:
    drawn, found = 0, []
    for path in sorted((Path(__file__).parents[2] / "tui").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Content":
                drawn += 1
                if not _is_safe(node.args[0]):
                    found.append(f"{path.name}:{node.lineno}")
    assert found == []
    assert drawn > 20
