"""Every calendar file under tests/cases means what its case says."""

from __future__ import annotations

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from scheduling.calendar import CalendarRead, calendar_answer, read_calendar
from scheduling.calendar.again import read_again
from scheduling.calendar.texts import unescape_text
from scheduling.calendar.unfold import content_lines
from scheduling.errors import InvalidError
from tests.support.cases import FOLDER, Case, cases_of

CASES = {case.id: case for case in cases_of(".ics")}


def read(case: Case, name: str = "") -> CalendarRead:
    first, until = (
        dt.date.fromisoformat(case.expect.get(key, usual))
        for key, usual in (("window_from", "2026-01-01"), ("window_to", "2027-01-01"))
    )
    return read_calendar(case.octets(name), home_zone=case.zone, window=(first, until), source_name=case.id)


def instant(text: str, zone: str) -> str:
    """Floating times of a case are wall times in the home zone."""
    if len(text) == 10:
        return text
    moment = dt.datetime.fromisoformat(text)
    moment = moment if moment.tzinfo else moment.replace(tzinfo=ZoneInfo(zone))
    return moment.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def instants(texts: list[str], zone: str) -> list[str]:
    return sorted(instant(text, zone) for text in texts)


def busy_days(found: CalendarRead, zone: str) -> list[str]:
    days: set[dt.date] = set()
    for one in found.occurrences:
        if not one.is_busy or one.start == one.end:
            continue
        if isinstance(one.start, dt.datetime) and isinstance(one.end, dt.datetime):
            day = one.start.astimezone(ZoneInfo(zone)).date()
            last = (one.end - dt.timedelta(seconds=1)).astimezone(ZoneInfo(zone)).date()
        else:
            day, last = one.start, one.end - dt.timedelta(days=1)
        while day <= last:
            days.add(day)
            day += dt.timedelta(days=1)
    return sorted(day.isoformat() for day in days)


def test_the_cases_are_all_here() -> None:
    assert len(CASES) == 74
    assert FOLDER.joinpath("README.md").exists()


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if "starts" in case.expect])
def test_a_case_has_its_occurrences(name: str) -> None:
    case = CASES[name]
    answer = calendar_answer(read(case))
    starts = sorted(one["start"] for one in answer["occurrences"])
    allowed = [instants(case.expect[key], case.zone) for key in ("starts", "alt_starts") if key in case.expect]
    assert starts in allowed
    if "ends" in case.expect:
        assert sorted(one["end"] for one in answer["occurrences"]) == instants(case.expect["ends"], case.zone)


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if "busy_days" in case.expect])
def test_a_case_blocks_its_days(name: str) -> None:
    assert busy_days(read(CASES[name]), CASES[name].zone) == CASES[name].expect["busy_days"]


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if "busy_starts" in case.expect])
def test_a_case_blocks_its_times(name: str) -> None:
    case = CASES[name]
    answer = calendar_answer(read(case))
    assert sorted(one["start"] for one in answer["occurrences"] if one["busy"]) == instants(
        case.expect["busy_starts"], case.zone
    )


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if "texts" in case.expect])
def test_a_case_has_its_texts(name: str) -> None:
    case = CASES[name]
    (occurrence, *_) = read(case).occurrences
    lines, _ = content_lines(case.octets())
    for key, text in case.expect["texts"].items():
        if key == "SUMMARY":
            assert occurrence.title == text
        elif key == "LOCATION":
            assert occurrence.place == text
        else:  # kept out of the result for privacy; the un-folding below it must be right all the same
            (value,) = [line.partition(":")[2] for _, line in lines if line.startswith(key)]
            assert unescape_text(value) == text


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if "alarms" in case.expect])
def test_a_case_rings_at_its_times(name: str) -> None:
    case = CASES[name]
    rings = [ring for one in read(case).occurrences for ring in one.alarms]
    assert sorted(ring.strftime("%Y-%m-%dT%H:%M:%SZ") for ring in rings) == case.expect["alarms"]


@pytest.mark.parametrize(
    "name", [name for name, case in CASES.items() if {"flagged", "unreadable"} & case.expect.keys()]
)
def test_a_case_says_what_is_odd(name: str) -> None:
    assert read(CASES[name]).notices


def expected(key: str) -> list[Any]:
    return [pytest.param(case, case.expect[key], id=name) for name, case in CASES.items() if key in case.expect]


@pytest.mark.parametrize(("case", "name"), expected("calname"))
def test_a_case_has_its_name(case: Case, name: str) -> None:
    assert read(case).name == name


@pytest.mark.parametrize(("case", "words"), expected("categories"))
def test_a_case_has_its_categories(case: Case, words: list[str]) -> None:
    assert list(read(case).occurrences[0].categories) == words


@pytest.mark.parametrize(("case", "todo"), expected("todo"))
def test_a_case_has_its_to_do(case: Case, todo: dict[str, str]) -> None:
    (found,) = calendar_answer(read(case))["todos"]
    assert (found["title"], found["due"]) == (todo["summary"], instant(todo["due"], case.zone))


@pytest.mark.parametrize(("case", "count"), expected("open_todos"))
def test_a_case_has_its_open_to_dos(case: Case, count: int) -> None:
    assert sum(todo.is_open for todo in read(case).todos) == count


@pytest.mark.parametrize(("case", "_reason"), expected("error"))
def test_a_case_is_refused(case: Case, _reason: str) -> None:
    with pytest.raises(InvalidError, match="web page"):
        read(case)


@pytest.mark.parametrize("name", CASES)
def test_no_case_brings_characters_that_steer_a_terminal(name: str) -> None:
    case = CASES[name]
    if "error" in case.expect:
        return
    found = read(case)
    texts = [text for one in found.occurrences for text in (one.uid, one.title, one.place, *one.categories)]
    for text in [*texts, found.name, *(todo.title for todo in found.todos), *(notice.text for notice in found.notices)]:
        assert not [letter for letter in text if ord(letter) < 32 or 0x7F <= ord(letter) < 0xA0]
        assert not set(text) & set("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufffd")


def test_reading_the_same_file_again_changes_nothing() -> None:
    for name in ("reimport-same-file", "no-uid", "override-moved"):
        found = read(CASES[name])
        again = read_again(found.occurrences, read(CASES[name]))
        assert (again.new, again.changed, again.gone, again.ignored) == ((), (), (), ())
        assert again.kept == found.occurrences


def test_a_cancellation_frees_the_time() -> None:
    first, second = read(CASES["method-cancel"]), read(CASES["method-cancel"], "second.ics")
    again = read_again(first.occurrences, second)
    assert len(again.changed) == 1
    assert [one for one in again.kept if one.is_busy] == []


def test_a_later_stamp_wins_over_an_equal_sequence() -> None:
    case = CASES["reimport-same-sequence-later-stamp"]
    first, second = read(case), read(case, "second.ics")
    assert [one.title for one in read_again(first.occurrences, second).kept] == ["Room B"]
    late = read_again(second.occurrences, first)
    assert [one.title for one in late.kept] == ["Room B"]
    assert len(late.ignored) == 1
