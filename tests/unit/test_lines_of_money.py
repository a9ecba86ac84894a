"""The verbs of sign-ups, money, promotions, decisions, the day and messages on the demo: text, JSON keys, refusals."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from demo.load import make_demo
from tui.lines import entry
from tui.lines.answers import KINDS

Run = Callable[..., tuple[int, str]]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "demo.kitwright"
    make_demo(path)
    return path


@pytest.fixture
def run(made: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run one command line on a demo of the test's own; gives its exit status and what it printed."""
    copy = tmp_path / "demo.kitwright"
    copy.write_bytes(made.read_bytes())

    def line(*arguments: str) -> tuple[int, str]:
        status = entry.run([*arguments, "--file", str(copy)])
        return status, capsys.readouterr().out

    return line


def answered(run: Run, *arguments: str, kind: str = "outcome") -> dict[str, Any]:
    """The JSON answer, whose keys are those of the table."""
    status, text = run(*arguments, "--json")
    assert status == 0, text
    found: dict[str, Any] = json.loads(text)
    assert found["kind"] == kind
    assert tuple(found) == ("kind", "version", *KINDS[kind])
    return found


@pytest.mark.parametrize(
    ("arguments", "kind"),
    [
        (("owed",), "owed"),
        (("cash",), "cash_dates"),
        (("cash", "--from", "1 jan 2027"), "money_moved"),
        (("owed", "A16"), "person_money"),
        (("money", "C09"), "money"),
        (("receipt", "B35", "--invoice"), "receipt"),
        (("heads", "B35", "9", "--final"), "outcome"),
        (("charge", "B35", "12.50", "--what", "Late collection"), "outcome"),
        (("offer",), "waitlist"),
        (("promotion",), "promotions"),
        (("decide",), "decisions"),
        (("decide", "C09"), "decisions"),
        (("day", "C04"), "day"),
        (("day", "C04", "car"), "car"),
        (("message",), "messages"),
        (("message", "templates"), "templates"),
        (("personal", "A20"), "personal"),
    ],
)
def test_every_question_answers_as_text_and_as_json_with_the_keys_of_the_table(
    run: Run, arguments: tuple[str, ...], kind: str
) -> None:
    answered(run, *arguments, kind=kind)
    status, text = run(*arguments)
    assert status == 0
    assert text.strip()
    assert "\x1b" not in text


def test_owed_says_both_figures_of_the_demo(run: Run) -> None:
    found = answered(run, "owed", kind="owed")
    assert found["if_called_off"] == {"fees": "2290.00", "deposits": "160.00"}
    assert found["if_all_cancel"]["cash"] == "1762.00"
    assert found["if_all_cancel"]["credit"] == "240.00"
    assert found["credits_sum"] == "42.00"


def test_a_payment_a_refund_and_a_credit_by_line(run: Run) -> None:
    paid = answered(run, "pay", "B35", "458.00", "--method", "card", "--reference", "4711")
    assert (paid["refs"]["to_pay_minor"], paid["refs"]["state"]) == (0, "confirmed")
    freed = answered(run, "cancel", "B55")
    assert freed["refs"]["back_minor"] == 5800
    half = answered(run, "refund", "B55", "20")
    assert half["refs"]["to_give_back_minor"] == 3800
    credit = answered(run, "refund", "B55", "--as-credit", "--until", "2027-06-30")
    assert credit["refs"]["credit"] == "K02"
    status, text = run("refund", "B55", "--json")
    assert (status, json.loads(text)["kind"]) == (1, "refused")


def test_a_freed_seat_is_offered_accepted_and_settled_by_line(run: Run) -> None:
    roster = answered(run, "roster", "C05", kind="roster")
    answered(run, "cancel", roster["seated"][0]["booking"])
    offered = answered(run, "offer", "C05")["refs"]["offered"]
    assert len(offered) == 1
    assert answered(run, "offer", offered[0], "--accepted")["refs"]["state"] == "confirmed"
    assert run("settle", "--json")[0] == 1


def test_the_two_promotions_of_the_demo_by_line(run: Run) -> None:
    early = ("--class", "C09", "--class", "C10", "--class", "C12", "--off", "15%", "--ends-days-before", "21")
    answered(run, "promotion", "early-bird", "PR1", *early)
    sides = ("--one", "C11", "--other", "C09", "--other", "C12")
    answered(run, "promotion", "bundle", "Two Lights", "--off", "12.00", "--ends", "2027-03-01", *sides)
    found = answered(run, "promotion", kind="promotions")["promotions"]
    prices = {one["class"]: (one["price"], one["last_day"]) for one in found[0]["classes"]}
    assert prices == {
        "C09": ("49.30", "2027-02-13"),
        "C10": ("54.40", "2027-02-21"),
        "C12": ("49.30", "2027-02-27"),
    }
    booked = answered(run, "book", "C12", "A11")
    assert "Two Lights: 12.00 off" in booked["said"]


def test_transfers_heads_costs_and_decisions_by_line(run: Run) -> None:
    moved = answered(run, "transfer", "B55", "C12")
    assert moved["refs"]["carried_minor"] == 5800
    assert answered(run, "heads", "B54", "7")["refs"]["freed"] == 1
    answered(run, "costs", "class", "C08", "--add", "Helper=40")
    answered(run, "costs", "venue", "V2", "--hire", "23", "--least", "3h")
    answered(run, "costs", "studio", "--card", "2,5%", "--credit-days", "180")
    answered(run, "costs", "class", "C14", "--tiers", "10 full, 0 none")
    called_off = answered(run, "decide", "C09", "call-off")
    assert called_off["refs"]["drafts"] == 3
    assert answered(run, "undo", str(called_off["undo"]))["kind"] == "outcome"


def test_the_day_and_messages_by_line(run: Run, tmp_path: Path) -> None:
    answered(run, "day", "C05", "steps", "Glue the spine=20m+1h", "Sew=3h")
    answered(run, "day", "C05", "tool", "Awl", "--out", "8")
    assert run("day", "C05", "in", "Oriel", "--json")[0] == 1
    answered(run, "message", "mail", "--from", "room@example.org")
    drafted = answered(run, "message", "draft", "reminder", "--class", "C05")
    assert drafted["refs"]["drafts"] == 8
    saved = answered(run, "message", "save", "--all", "--folder", str(tmp_path), kind="saved")["files"]
    assert len(saved) == 8
    assert Path(saved[0]).stat().st_mode & 0o077 == 0
    assert answered(run, "message", "was-sent", "1")["said"].endswith("is sent.")
    assert run("message", "send", "--all", "--json")[0] == 1


def test_what_is_kept_of_a_person_leaves_the_health_note_out_unless_it_is_asked_for(run: Run, tmp_path: Path) -> None:
    answered(run, "attendee", "change", "A20", "--health-note", "nut allergy")
    assert "nut allergy" not in run("personal", "A20")[1]
    target = tmp_path / "greer.json"
    assert run("personal", "A20", "--health", "--to", str(target))[0] == 0
    data = json.loads(target.read_text("utf-8"))
    assert data["person"]["health_note"] == "nut allergy"
    assert {one["booking"] for one in data["money"]} >= {"B35"}
    assert run("personal", "A20", "--to", str(target))[0] == 1
