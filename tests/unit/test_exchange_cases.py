"""Every list and contact file of tests/cases is read as its case.toml says."""

from __future__ import annotations

import datetime as dt
import tomllib
import unicodedata
from pathlib import Path
from typing import Any

import pytest

from scheduling.exchange.answer import people_answer
from scheduling.exchange.read import read_people

CASES = Path(__file__).parent.parent / "cases"
TODAY = dt.date(2026, 3, 1)
IDS = sorted(path.name for kind in ("csv", "xlsx", "vcf") for path in CASES.glob(f"{kind}-*"))


def case_of(case_id: str) -> dict[str, Any]:
    return tomllib.loads((CASES / case_id / "case.toml").read_text("utf-8"))


def answer_for(case_id: str, file_name: str = "") -> dict[str, Any]:
    case = case_of(case_id)
    name = file_name or case["input"]
    read = read_people((CASES / case_id / name).read_bytes(), name, today=TODAY, zone=case["home_tz"])
    return people_answer(read)


def digits(text: str) -> str:
    return "".join(char for char in text if char.isdigit() or char == "+")


def test_there_are_cases_of_every_kind() -> None:
    assert len(IDS) == 35


@pytest.mark.parametrize("case_id", [case_id for case_id in IDS if "people" in case_of(case_id)["expect"]])
def test_the_people_of_the_case_come_out(case_id: str) -> None:
    answer, right = answer_for(case_id), case_of(case_id)["expect"]["people"]
    bookings = answer["bookings"] or [{}] * len(answer["people"])
    assert len(answer["people"]) == len(right)
    for person, booking, expected in zip(answer["people"], bookings, right, strict=True):
        name = " ".join(unicodedata.normalize("NFC", expected["name"]).split())
        assert person["name"] == name
        assert person["emails"] == expected.get("emails", [expected["email"]] if expected.get("email") else [])
        phones = expected.get("phones", [expected["phone"]] if expected.get("phone") else [])
        assert [digits(phone) for phone in person["phones"]] == [digits(phone) for phone in phones]
        for key, what in (("heads", "seats"), ("date", "date"), ("paid", "paid")):
            if what in expected:
                assert booking[key] == expected[what]


@pytest.mark.parametrize("case_id", [case_id for case_id in IDS if "counts" in case_of(case_id)["expect"]])
def test_the_counts_of_the_case_come_out(case_id: str) -> None:
    answer, counts = answer_for(case_id), case_of(case_id)["expect"]["counts"]
    bookings = answer["bookings"]
    live = [booking for booking in bookings if booking["state"] not in ("cancelled", "waitlist")]
    seen = {
        "signups": len(bookings),
        "people": len(answer["people"]),
        "seats": sum(booking["heads"] for booking in live) if "seats" in counts else 0,
        "waitlist": sum(booking["state"] == "waitlist" for booking in bookings),
        "cancelled": sum(booking["state"] == "cancelled" for booking in bookings),
    }
    assert {key: seen[key] for key in counts if key in seen} == {key: counts[key] for key in counts if key in seen}
    if counts.get("flagged"):
        assert len(answer["notices"]) >= counts["flagged"]


def test_the_ambiguous_date_is_asked_with_both_days_spelled_out() -> None:
    asked = answer_for("csv-date-ambiguous")["ask"]
    assert asked == ["date order of “Class date”: 3 April 2026 or 4 March 2026?"]


def test_only_the_ambiguous_cases_ask_anything() -> None:
    assert [case_id for case_id in IDS if answer_for(case_id)["ask"]] == ["csv-date-ambiguous", "csv-other-languages"]


def test_addresses_keep_their_case_and_their_tags() -> None:
    right = case_of("csv-email-case-plus")["expect"]["emails"]
    assert [person["emails"][0] for person in answer_for("csv-email-case-plus")["people"]] == right


def test_the_same_file_again_means_the_same() -> None:
    assert answer_for("csv-repeat-import") == answer_for("csv-repeat-import", "second.csv")


def test_a_longer_version_of_a_file_has_the_same_sign_ups_by_their_numbers() -> None:
    folder = CASES / "csv-repeat-import"
    first, third = (
        {s.key: s.state for s in read_people((folder / name).read_bytes(), name, today=TODAY).sign_ups}
        for name in ("input.csv", "third.csv")
    )
    assert first == {"id:101": "confirmed", "id:102": "confirmed"}
    assert third == {"id:101": "cancelled", "id:102": "confirmed", "id:103": "confirmed"}


def test_health_notes_stand_apart_and_not_in_the_answer() -> None:
    name = "input.csv"
    read = read_people((CASES / "csv-health-notes" / name).read_bytes(), name, today=TODAY)
    assert [(note.person, note.sign_up, note.text) for note in read.health] == [(0, 0, "nut allergy; wheelchair")]
    for shown in (repr(read), str(people_answer(read)), repr(read.people), repr(read.sign_ups)):
        assert "nut allergy" not in shown


@pytest.mark.parametrize("count", [5_000, pytest.param(50_000, marks=pytest.mark.all)])
def test_a_large_file_is_read_with_every_seat_and_tells_its_progress(count: int) -> None:
    rows = [f"Person {n:05},p{n:05}@people.example,Class {n % 20:02},{n % 3 + 1}\n" for n in range(count)]
    content = ("Name,E-mail,Class,Seats\n" + "".join(rows)).encode()
    calls: list[tuple[int, int]] = []

    def note(done: int, total: int) -> bool:
        calls.append((done, total))
        return True

    read = read_people(content, "big.csv", today=TODAY, progress=note)
    assert len(read.sign_ups) == count
    assert sum(sign_up.heads or 0 for sign_up in read.sign_ups) == sum(n % 3 + 1 for n in range(count))
    assert not read.notices
    assert calls[0] == (0, count)
    assert calls[-1] == (count, count)
    assert [done for done, _ in calls] == sorted(done for done, _ in calls)
