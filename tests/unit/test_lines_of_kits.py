"""The verbs of needs, orders, stock, kits and cutting on the demo: text, JSON keys, refusals."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.support.kit_studio import demo_studio
from tui.lines import entry
from tui.lines.answers import KINDS

Run = Callable[..., tuple[int, str]]


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run one command line on a demo of the test's own; gives its exit status and what it printed."""
    demo_studio(tmp_path).close()

    def line(*arguments: str) -> tuple[int, str]:
        status = entry.run([*arguments, "--file", str(tmp_path / "demo.kitwright")])
        found = capsys.readouterr()
        return status, found.out + found.err

    return line


def answered(run: Run, *arguments: str, kind: str = "outcome") -> dict[str, Any]:
    """The JSON answer, whose keys are those of the table."""
    status, text = run(*arguments, "--json")
    assert status == 0, text
    found: dict[str, Any] = json.loads(text)
    assert tuple(found) == ("kind", "version", *KINDS[kind])
    return found


@pytest.mark.parametrize(
    ("arguments", "kind"),
    [
        (("needs",), "needs"),
        (("needs", "C05", "--weeks", "3"), "needs"),
        (("needs", "C05", "--why", "M03"), "need_why"),
        (("needs", "--why", "M03"), "need_why"),
        (("stock", "journal"), "journal"),
        (("reward", "try", "W01", "--sum", "131.75"), "basket"),
        (("order",), "order_proposals"),
        (("order", "list"), "orders"),
        (("stock",), "stock"),
        (("stock", "journal", "M03"), "journal"),
        (("kit", "C07"), "kit"),
        (("cut", "C05"), "cut"),
        (("cut", "C08", "C09", "C12", "--better", "--material", "mulberry"), "cut"),
        (("material",), "materials"),
        (("supplier",), "suppliers"),
        (("tool",), "tools"),
        (("bill", "show", "P3"), "bill"),
        (("cut",), "cut_together"),
        (("reward",), "rewards"),
        (("bench",), "bench"),
    ],
)
def test_every_answer_has_the_keys_of_its_kind_and_a_text(run: Run, arguments: tuple[str, ...], kind: str) -> None:
    answered(run, *arguments, kind=kind)
    status, text = run(*arguments)
    assert status == 0
    assert text.strip()
    assert "Traceback" not in text


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (("order", "place", "Ammerlin"), "165.50 of goods and 0.00 carriage; it comes Wed 10 Feb"),
        (("order", "place", "U05", "M22=1"), "takes orders from 25.00; this one is 23.75"),
        (("stock", "count", "M17", "--whole", "20", "--reason", "six broken"), "what was counted is kept"),
        (("stock", "count", "M13", "--length", "20 yd"), "what was counted is kept"),
        (("stock", "waste", "M03", "--whole", "2"), "12 on hand"),
        (("stock", "allot", "M03", "--whole", "6", "--class", "C07"), "6 of Drawing paper are kept for C07"),
        (("kit", "C04", "begin"), "12 kits are to be made"),
        (("kit", "C04", "tick", "bag", "--count", "5"), "bag: 5 of 12 for C04, 7 left"),
        (("kit", "C04", "problem", "one body creased"), "The problem is noted"),
        (("kit", "C04", "weigh", "210"), "The weight is noted"),
        (("cut", "C07", "--material", "M03", "--done"), "6 sheets cut, 22 pieces for C07"),
        (("material", "add", "Washi", "--form", "sheet", "--size", "64 x 94 cm", "--grain", "long"), "is kept as M23"),
        (("material", "change", "M03", "--price", "17.00"), "is changed"),
        (("material", "retire", "M12"), "is retired"),
        (("supplier", "add", "New Mill", "--lead", "3", "--order-before", "noon"), "is kept as U06"),
        (("supplier", "shut", "U01", "--day", "3 Feb"), "is shut on Wed 3 Feb"),
        (("tool", "add", "Press", "--owned", "1"), "is kept as L08"),
        (("bill", "set", "P1", "--line", "Cover;M04;1;5 3/4 x 9", "--line", "Bag;M20"), "has 2 lines"),
        (("bench", "--kerf", "1/32", "--longest-cut", "12 in"), "The rules for kits are kept"),
        (("reward", "add", "U03", "--what", "a reel", "--per", "30", "--until", "31 mar"), "is kept as W02"),
        (("reward", "pool", "W01", "--who", "her basket", "--sum", "131.75"), "The sum is kept"),
        (
            ("reward", "add", "U02", "--what", "cloth", "--bands", "150 a roll worth 5; 650 two", "--until", "31 mar"),
            "cloth is kept as W02",
        ),
        (("reward", "change", "W01", "--per", "50", "--what", "a pack"), "a pack is kept as W01"),
        (("stock", "left-over", "M03", "--whole", "2", "--of", "12 x 9"), "2 of 12 x 9 on hand"),
        (("bill", "set", "P1", "--line", "Cover;M04;1;5 3/4 x 9;kit;one way up, back shows;slate=M04"), "has 1 line;"),
        (("bill", "take", "C14"), "C14 has the newest already"),
    ],
)
def test_every_deed_says_what_it_did_and_how_to_take_it_back(run: Run, arguments: tuple[str, ...], wanted: str) -> None:
    status, text = run(*arguments)
    assert status == 0, text
    assert wanted in text


def test_the_reward_of_february_comes_out_to_the_cent_by_command(run: Run) -> None:
    text = run("reward", "try", "W01", "--sum", "131.75")[1]
    assert "131.75 earns 2 x one 5-sheet decorative pack; 48.25 more by Fri 26 Feb, 14:00 earns the third." in text
    assert "214.00 earns 3 x one 5-sheet decorative pack; 26.00 more by Fri 26 Feb, 14:00 earns the fourth." in text


def test_the_week_says_what_must_be_ordered_by_when(run: Run) -> None:
    text = run("week")[1]
    assert "By Mon 1 Feb before 14:00: order Drawing paper, Decorative paper D-2" in text
    assert "By Thu 4 Feb: order Rigid mailer 12 x 15 x 1 from Cobbrith Cartons for C07, C10." in text


def test_an_order_goes_from_its_proposal_to_stock(run: Run) -> None:
    placed = answered(run, "order", "place", "U01")
    name = placed["refs"]["supply_order"]
    assert run("order", "promise", name, "--day", "11 feb")[0] == 0
    assert "to come Thu 11 Feb" in run("order", "list")[1]
    assert "! C05 Coptic sketchbook  32  of M03, by Wed 10 Feb" in run("order", "show", name)[1]
    assert answered(run, "order", "show", name, kind="order")["order"]["ref"] == name
    assert "part" not in run("order", "receive", name, "M03=6")[1].casefold()
    assert "all here" in run("order", "receive", name)[1]
    assert run("order", "list")[1].strip() == "No order is on its way."


def test_what_is_cut_is_drawn_to_scale_as_a_picture(run: Run, tmp_path: Path) -> None:
    target = tmp_path / "cover.svg"
    status, text = run("cut", "C06", "--material", "M04", "--svg", str(target))
    assert status == 0, text
    root = ET.fromstring(target.read_text("utf-8"))
    assert root.tag.endswith("svg")
    assert any(each.tag.endswith("line") for each in root.iter())


def test_a_cut_plan_on_the_command_line_says_why_and_numbers_its_cuts(run: Run) -> None:
    text = run("cut", "C05", "--material", "M06")[1]
    assert "20 Outer cover paper, 7 1/2 in x 7 3/8 in: a sheet gives 6." in text
    assert "Pattern 1: " in text
    assert "  1  trimmer" in text
    assert "Cut away from you" in text


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (("needs", "C99"), "no class date C99"),
        (("order", "receive", "G09"), "no order G09"),
        (("order", "place", "U01", "M03"), "names no packs"),
        (("order", "place", "U02", "M03=1"), "does not come from"),
        (("stock", "waste", "M03", "--whole", "99"), "More would be taken from stock than is there"),
        (("stock", "count", "M17", "--length", "3 ft"), "is of a roll or reel"),
        (("kit", "C04", "tick", "post"), "its kits are not mailed"),
        (("cut", "C05", "--material", "M03", "--done"), "14 are on hand"),
        (("material", "add", "X", "--form", "sheet"), "A sheet has a size"),
        (("bill", "set", "P1", "--line", "Cover;M04;1;5 3/4"), "Cover: a part of Cover paper"),
        (("bill", "set", "P1", "--line", "Cover;M04;1;5 3/4 x 9;kit;upside down"), "upside down is no way"),
        (("supplier", "change", "nobody"), "No supplier matches"),
    ],
)
def test_what_is_not_possible_is_refused_with_the_mend(run: Run, arguments: tuple[str, ...], wanted: str) -> None:
    status, text = run(*arguments)
    assert status == 1
    assert wanted in text
