"""The verbs of the plan on the demo: text, JSON keys, refusals, nothing written by a question."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from demo.load import make_demo
from tests.support.demo_studio import demo_copy
from tui.lines import entry
from tui.lines.answers import KINDS

Run = Callable[..., tuple[int, str]]


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run one command line on a demo of the test's own; gives its exit status and what it printed."""
    copy = demo_copy(tmp_path)

    def line(*arguments: str) -> tuple[int, str]:
        status = entry.run([*arguments, "--file", str(copy)])
        return status, capsys.readouterr().out

    return line


def answered(run: Run, *arguments: str, kind: str) -> dict[str, Any]:
    """The JSON answer, whose keys are those of the table."""
    status, text = run(*arguments, "--json")
    assert status == 0, text
    found: dict[str, Any] = json.loads(text)
    assert found["kind"] == kind
    assert tuple(found) == ("kind", "version", *KINDS[kind])
    return found


def test_two_fresh_demos_give_the_same_plan_to_the_letter(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    texts = []
    for name in "ab":
        make_demo(tmp_path / f"{name}.kitwright")
        assert entry.run(["plan", "--json", "--file", str(tmp_path / f"{name}.kitwright")]) == 0
        texts.append(capsys.readouterr().out)
    assert texts[0] == texts[1]
    assert len(json.loads(texts[0])["tasks"]) > 150


def test_the_plan_says_how_classes_stand_and_is_kept_only_when_asked(run: Run) -> None:
    found = answered(run, "plan", "--days", "5", kind="plan")
    assert [day["day"] for day in found["days"]] == [f"2027-02-0{n}" for n in range(1, 6)]
    assert {row["state"] for row in found["classes"]} == {"ready", "tight"}
    assert (found["kept_on"], found["kept"], found["moved"]) == (None, False, [])
    decision = next(row for row in found["classes"] if row["class"] == "C09")["decision"]
    assert (decision["heads"], decision["break_even"], decision["run"]["sum"]) == (4, 3, "51.20")
    assert [one["owed"] for one in decision["penalties"]] == ["63.25", "126.50"]
    assert [(one["day"], one["supplier"], one["endangered"]) for one in found["order_by"]] == [
        ("2027-02-01", "U01", []),
        ("2027-02-03", "U03", []),
        ("2027-02-04", "U04", []),
        ("2027-02-04", "U05", []),
    ]
    assert answered(run, "plan", "--keep", kind="plan")["kept"] is True
    assert answered(run, "plan", kind="plan")["kept_on"] == "2027-02-01"


def test_the_plan_as_text_says_what_each_decision_rests_on_and_what_to_order(run: Run) -> None:
    text = run("plan", "--days", "5")[1]
    assert "Fri 19 Feb  C09 Four-panel box lantern: 4 heads, 2 short of 6; costs covered from 3; leaves 51.20;" in text
    assert "By Thu 4 Feb: order LED tea light (coin cell, screw-shut) from Ilverdane Lights for C09" in text


def test_a_change_says_which_tasks_moved_and_why(run: Run) -> None:
    run("plan", "--keep")
    status, _ = run("settings", "close", "4 feb")
    assert status == 0
    status, text = run("plan")
    assert status == 0
    assert "tasks moved since the plan of Mon 1 Feb" in text
    assert "because its day has less room now" in text


@pytest.mark.all
def test_late_work_shows_its_proof_and_a_mend_is_made_and_taken_back_by_one_undo(run: Run) -> None:
    """C05's thread comes on Mon 8 Feb, a blocked day, its paper on Wed 10. Receiving takes 60 min, cutting 168, folding
    65, and bagging, by the end of Thu 11 so that the second look can be the day after, 55: 348 min, 5 h 48. With 1 h on
    Wed and 3 h on Thu 1 h 48 are too many."""
    assert run("whatif", "--limit", "10 feb", "60", "--keep")[0] == 0
    tasks = answered(run, "plan", kind="plan")["tasks"]
    late = next(row for row in tasks if row["standing"] == "late" and row["title"].startswith("Sort"))
    found = answered(run, "why", late["ref"], kind="why")
    assert "5 h 48 must be done and 4 h are there, whatever the order: 1 h 48 too many in 4 tasks" in found["proof"]
    number = next(n for n, mend in enumerate(found["mends"], 1) if "more on Wed 10 Feb" in mend["said"])
    made = answered(run, "why", late["ref"], "--mend", str(number), kind="outcome")
    assert made["said"].startswith("Wed 10 Feb has up to ")
    assert not [row for row in answered(run, "plan", kind="plan")["classes"] if row["state"] == "late"]
    assert run("undo", str(made["undo"]))[0] == 0
    late_again = [row["class"] for row in answered(run, "plan", kind="plan")["classes"] if row["state"] == "late"]
    assert late_again == ["C05"]


def test_what_if_tells_and_keeps_nothing_unless_asked(run: Run) -> None:
    assert run("whatif", "--limit", "10 feb", "60", "--keep")[0] == 0
    found = answered(run, "whatif", "C05", "--off", kind="whatif")
    assert found["no_longer_late"] == ["C05 Coptic sketchbook"]
    assert any("give back" in note for note in found["notes"]), "the money that would be owed back is said"
    assert answered(run, "class", "show", "C05", kind="class")["class"]["state"] != "cancelled"
    kept = answered(run, "whatif", "--limit", "2 feb", "300", "--keep", kind="whatif")
    assert kept["kept"] > 0
    assert "5 h" in run("plan", "--days", "2")[1]


def test_what_cannot_be_supposed_or_kept_is_refused(run: Run) -> None:
    for wrong in (("whatif",), ("whatif", "--off"), ("whatif", "C09", "--heads", "2", "--keep")):
        assert run(*wrong)[0] == 1


def test_work_is_pinned_and_let_go(run: Run) -> None:
    tasks = answered(run, "prep", "list", "C12", kind="prep")["tasks"]
    number = next(task["ref"] for task in tasks if task["title"] == "Cut all pieces")
    assert "pinned to Fri 5 Mar 14:30" in run("pin", number, "--at", "fri 5 mar 14:30")[1]
    task = answered(run, "why", number, kind="why")["task"]
    assert task["stretches"][0]["starts"] == "2027-03-05T14:30-05:00"
    assert run("pin", number, "--off")[0] == 0
    assert run("pin", number, "--off")[0] == 1
    assert run("pin", number)[0] == 1


@pytest.mark.all
def test_proposals_are_listed_and_an_unknown_one_is_refused(run: Run) -> None:
    found = answered(run, "better", kind="better")
    assert (found["proposals"], found["steps"]) == ([], [])
    assert run("better", "7")[0] == 1
    rows = answered(run, "together", kind="together")["proposals"]
    first = rows[0]
    assert "in one go for" in run("together", *first["tasks"])[1]
    accepted = answered(run, "together", kind="together")["accepted"]
    assert [batch["tasks"] for batch in accepted] == [first["tasks"]]
    assert run("together", first["tasks"][0], "--part")[0] == 0
