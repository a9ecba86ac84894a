"""Drawings of a sheet: to scale, cuts numbered in order, plain text only."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from scheduling.cutting.drawing import Look, cut_lines, draw_svg, draw_text
from scheduling.cutting.plan import first_plan
from scheduling.cutting.problem import CutProblem, Grain
from scheduling.cutting.result import PatternRun
from tests.support.cut_builders import piece, sheet

SVG = "{http://www.w3.org/2000/svg}"


def one_run(size: str, count: int, stock: str, *, trim: str = "0", grain: Grain = Grain.LONG) -> PatternRun:
    return first_plan(
        CutProblem((piece("card", size, count),), (sheet("S", stock, trim=trim, grain=grain),))
    ).best.runs[0]


def test_a_quartered_sheet_is_drawn_in_four_equal_boxes() -> None:
    run = one_run("6 x 6", 4, "12 x 12")
    assert draw_text(run.layout, run.grain, width=13, height=40) == [
        "┌─────┬─────┐",
        "│card 2card │",
        "│     │     │",
        "├1────┼─────┤",
        "│card 3card │",
        "│     │     │",
        "└─────┴─────┘",
    ]


def test_a_drawing_keeps_the_shape_of_the_sheet_within_its_room() -> None:
    run = one_run("5 3/4 x 11 1/2", 5, "30 x 22", trim="1/4")
    for width, height in ((80, 24), (30, 60), (10, 10)):
        lines = draw_text(run.layout, run.grain, width=width, height=height)
        across, along = max(map(len, lines)) - 1, len(lines) - 1
        assert across < width
        assert along < height
        assert abs(across / (2 * along) - 22 / 30) < 0.25


def test_waste_is_dotted_and_kept_remainders_show_the_grain() -> None:
    run = one_run("9 x 7", 2, "20 x 16")
    text = "\n".join(draw_text(run.layout, run.grain, width=60, height=40))
    assert "·" in text
    grainless = one_run("5 x 10", 1, "30 x 12", grain=Grain.NONE)
    assert "keep" in "\n".join(draw_text(grainless.layout, grainless.grain, width=60, height=40))
    assert "↕" not in "\n".join(draw_text(grainless.layout, grainless.grain, width=60, height=40))
    long = one_run("5 x 10", 1, "30 x 12")
    assert "keep ↕" in "\n".join(draw_text(long.layout, long.grain, width=60, height=40))


def test_long_names_are_cut_to_the_room_and_may_be_given_short() -> None:
    run = one_run("2 x 2", 30, "12 x 12")
    narrow = draw_text(run.layout, run.grain, width=25, height=40)
    assert any("c…" in line or "ca…" in line for line in narrow)
    short = draw_text(run.layout, run.grain, width=25, height=40, look=Look(names=(("card", "A"),)))
    assert any(" A " in line for line in short)


def test_cuts_are_listed_in_order_with_their_settings() -> None:
    run = one_run("6 x 6", 4, "12 1/2 x 12 1/2", trim="1/4")
    assert cut_lines(run.layout, "in") == [
        "  1  trimmer  trim  across the grain  set 12 1/4 in",
        "  2  trimmer  trim  along the grain   set 12 1/4 in",
        "  3  trimmer  trim  across the grain  set 12 in",
        "  4  trimmer  trim  along the grain   set 12 in",
        "  5  trimmer  cut   across the grain  set 6 in",
        "  6  trimmer  cut   along the grain   set 6 in",
        "  7  trimmer  cut   along the grain   same setting",
    ]


def test_the_picture_is_well_formed_to_scale_and_numbers_every_cut() -> None:
    run = one_run("5 3/4 x 11 1/2", 5, "30 x 22", trim="1/4")
    root = ET.fromstring(draw_svg(run.layout, run.grain, title="Drawing paper & <folios>"))
    assert root.findtext(f"{SVG}title") == "Drawing paper & <folios>"
    rects = root.findall(f"{SVG}rect")
    assert (rects[-1].get("width"), rects[-1].get("height")) == ("352.00", "480.00")
    folios = [rect for rect in rects if rect.get("width") == "184.00"]
    assert {rect.get("height") for rect in folios} == {"92.00"}
    assert len(root.findall(f"{SVG}line")) == len(run.layout.cuts)
    numbers = [text.text for text in root.findall(f"{SVG}text") if text.get("font-weight") == "bold"]
    assert numbers == [str(cut.number) for cut in run.layout.cuts]
