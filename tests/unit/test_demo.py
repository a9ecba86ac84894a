"""The demo studio holds the invented facts that it was made to show, the same every time."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from demo.load import make_demo
from scheduling.errors import ConflictError, InvalidError
from scheduling.queries.class_deadlines import ClassDeadlines
from scheduling.queries.classes import ClassDate, Classes
from scheduling.queries.history import History
from scheduling.queries.people import FindPeople, Person
from scheduling.queries.plan import PrepTasks
from scheduling.queries.roster import Roster
from scheduling.queries.settings import ClosedDays
from scheduling.queries.week import Week
from scheduling.store.fit_facts import staying
from scheduling.store.rows import Reader
from scheduling.studio import Studio
from tests.support.builders import a_studio
from tests.support.demo_studio import demo_copy
from tui.__main__ import main

#: Class, first start and last end (local), seats, minimum, fee in minor units, heads, kits, go/no-go.
CLASSES = """
C01 2027-01-16T10:00 2027-01-16T12:30  8 4  3800  7  9 2027-01-09
C02 2027-01-21T18:30 2027-01-21T20:45 12 5  4200  9 11 2027-01-13
C03 2027-01-30T10:00 2027-01-31T13:00 10 6 16500  7  9 2027-01-15
C04 2027-02-07T14:00 2027-02-07T16:00 12 6  2400 10 12 2027-01-23
C05 2027-02-13T10:00 2027-02-13T14:00  8 4  7200  8 10 2027-02-06
C06 2027-02-18T18:30 2027-02-18T20:45 12 5  3800  5  7 2027-02-10
C07 2027-02-21T14:00 2027-02-21T17:30 16 6  4600  9 11 2027-02-07
C08 2027-02-26T14:00 2027-02-26T17:30 12 8  6200 10 12 2027-02-11
C09 2027-03-06T10:00 2027-03-06T13:30 14 6  5800  4  6 2027-02-19
C10 2027-03-14T13:00 2027-03-14T18:00 12 5  6400  3  5 2027-03-01
C11 2027-03-18T18:30 2027-03-18T20:45 12 5  3000  2  4 2027-03-10
C12 2027-03-20T10:00 2027-03-20T13:30  8 4  5800  6  8 2027-03-13
C13 2027-03-27T13:30 2027-03-27T15:30  8 6  2600  8 10 2027-03-20
C14 2027-04-03T10:00 2027-04-03T12:30  8 4  3800  1  3 2027-03-27
""".strip().splitlines()


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Studio]:
    """The demo, only to be asked."""
    with Studio(str(demo_copy(tmp_path_factory.mktemp("demo")))) as studio:
        yield studio


def deadlines(demo: Studio, number: int) -> dict[str, dt.date]:
    return {one.kind: one.day for one in demo.ask(ClassDeadlines(number)).deadlines}


@pytest.mark.parametrize("line", CLASSES, ids=lambda line: line.split()[0])
def test_a_class_is_as_it_was_invented(demo: Studio, line: str) -> None:
    ref, starts, ends, seats, minimum, fee, heads, kits, go = line.split()
    number = int(ref[1:])
    row = demo.ask(ClassDate(number)).row
    assert row.ref == ref
    assert (row.starts.local, row.ends.local) == (dt.datetime.fromisoformat(starts), dt.datetime.fromisoformat(ends))
    assert (row.seats, row.minimum, row.fee_minor, row.heads) == (int(seats), int(minimum), int(fee), int(heads))
    assert demo.ask(ClassDeadlines(number)).kits == int(kits)
    assert deadlines(demo, number)["go/no-go"] == dt.date.fromisoformat(go)


def test_there_are_fourteen_classes_and_forty_attendees(demo: Studio) -> None:
    assert len(demo.ask(Classes("all"))) == 14
    assert [row.ref for row in demo.ask(Classes("past"))] == ["C03", "C02", "C01"]
    assert all(row.taught for row in demo.ask(Classes("past")))
    assert demo.ask(FindPeople("", at_most=99)).total == 40


def test_sign_up_closes_and_kits_are_posted_on_their_days(demo: Studio) -> None:
    c07, c10 = deadlines(demo, 7), deadlines(demo, 10)
    assert (c07["sign-up close"], c07["post-by"]) == (dt.date(2027, 2, 8), dt.date(2027, 2, 10))
    assert (c10["sign-up close"], c10["post-by"]) == (dt.date(2027, 3, 2), dt.date(2027, 3, 4))
    assert deadlines(demo, 5)["sign-up close"] == dt.date(2027, 2, 10)
    assert deadlines(demo, 8)["final head count"] == dt.date(2027, 2, 19)
    assert deadlines(demo, 13)["final head count"] == dt.date(2027, 3, 20)


def test_three_wait_for_c05_in_their_order(demo: Studio) -> None:
    page = demo.ask(Roster(5))
    assert [row.name for row in page.waiting] == ["Anselm Pudderley", "Imelda Cruxley", "Otis Farrowmint"]
    assert page.class_row.seats_left == 0


def test_who_came_who_did_not_and_who_gave_up(demo: Studio) -> None:
    marks = {row.name: row.mark for number in (1, 2, 3) for row in demo.ask(Roster(number)).seated}
    assert marks.pop("Perpetua Gannick") == "no-show"
    assert set(marks.values()) == {"attended"}
    anselm = next(row.id for row in demo.ask(FindPeople("pudderley")).rows)
    assert [(one.class_row.ref, one.state) for one in demo.ask(Person(anselm)).bookings] == [
        ("C05", "waitlist"), ("C02", "cancelled"),
    ]  # fmt: skip


def test_the_parties_are_held_by_their_hosts_deposit(demo: Studio) -> None:
    for number, host, heads in ((8, "Greer Haldispoon", 10), (13, "Barnaby Wexlatch", 8)):
        seated = demo.ask(Roster(number)).seated
        assert ({row.payer for row in seated}, len(seated)) == ({host}, heads)
        assert {row.state for row in seated} == {"deposit"}


def warned(demo: Studio, number: int) -> str:
    return "\n".join(demo.ask(Roster(number)).warnings)


def test_situation_3_stairs_and_no_loop(demo: Studio) -> None:
    assert "Jonquil Hathermead" in warned(demo, 5)
    assert "step-free" in warned(demo, 5)
    for number in (5, 12):
        assert "Rufus Calderwyke" in warned(demo, number)
    assert "Rufus Calderwyke" not in warned(demo, 2), "the library has a loop"
    assert "Leopold Minchery is left-handed" in warned(demo, 5)
    assert "Hamish Torvelly asks for large print" in warned(demo, 5)


def test_who_wants_no_photos_is_known_on_the_class(demo: Studio) -> None:
    assert "No photos of Teodor Ostrivane" in warned(demo, 4)
    assert "No photos of Wilhelmina Starkapple" in warned(demo, 7)


def test_the_guardians_of_c04_stay_and_are_counted(demo: Studio) -> None:
    """Ten children of nine guardians, for A36 and A37 share A29: with her 20 in a hall posted for 60."""
    assert demo.ask(ClassDate(4)).row.guardians_stay
    assert demo.ask(_Staying()) == 9


class _Staying:
    def fetch(self, reader: Reader) -> int:
        return staying(reader, 4)


def test_situation_4_under_age_nuts_and_glue(demo: Studio) -> None:
    said = warned(demo, 4)
    assert "Dot Lampernell" in said
    assert "8" in next(line for line in said.splitlines() if "Dot Lampernell" in line)
    noted = {row.name for row in demo.ask(Roster(4)).seated if row.has_health_note}
    assert noted == {"Idris Ashlantine", "Clover Mossgrave"}
    glue = next(line for line in said.splitlines() if "Clover Mossgrave" in line)
    assert "names what is in the kit (Paper-safe PVA" in glue
    assert "nut" not in said, "what the note says is read on the attendee's page"
    guardians = {row.name: row.guardian for row in demo.ask(Roster(4)).seated}
    assert guardians["Dot Lampernell"] == "Nettie Lampernell"


def test_situation_5_at_the_minimum_and_below_it(demo: Studio) -> None:
    rows = {row.ref: row for row in demo.ask(Classes("coming"))}
    assert not rows["C06"].is_under_minimum
    assert rows["C06"].heads == rows["C06"].minimum
    assert (rows["C09"].is_under_minimum, rows["C09"].minimum - rows["C09"].heads) == (True, 2)
    page = demo.ask(Week(days=21))
    about = {(lapse.class_ref, lapse.kind): lapse.about for lapse in page.lapses}
    assert about["C09", "go/no-go"] == "4 heads booked, 6 needed: 2 short"


def test_situation_6_abroad_and_too_late_for_the_mail(demo: Studio) -> None:
    assert (
        "Sunniva Greyholt lives abroad, and that kit was to be posted by Fri 29 Jan: offer a credit,"
        " or C10 Coptic sketchbook, whose kits for abroad are posted by Sat 20 Feb." in warned(demo, 7)
    )
    assert deadlines(demo, 7)["post-by abroad"] == dt.date(2027, 1, 29)
    assert "post-by abroad" not in deadlines(demo, 10), "nobody on C10 lives abroad"


def test_situation_8_the_clocks_go_forward_on_c10s_day(demo: Studio) -> None:
    hours = {row.ref: (row.starts.utc.hour, row.ends.utc.hour) for row in demo.ask(Classes("all"))}
    assert hours["C10"] == (17, 22)
    assert [hours[ref][0] for ref in ("C02", "C06", "C11")] == [23, 23, 22]
    assert len({demo.ask(ClassDate(number)).series_id for number in (2, 6, 11)}) == 1


def test_situation_10_the_blocked_days_move_the_aims_before_them(demo: Studio) -> None:
    blocked = {one.day for one in demo.ask(ClosedDays()) if one.kind == "blocked"}
    assert blocked == {dt.date(2027, 2, 8), dt.date(2027, 2, 9), *(dt.date(2027, 3, n) for n in (10, 11, 12))}
    for task in demo.ask(PrepTasks()):
        assert not blocked & {stretch.day for stretch in task.stretches}, task.title
        assert task.aim_day not in blocked, task.title


def test_its_clock_stands_and_its_history_begins_with_itself(demo: Studio) -> None:
    assert demo.now == dt.datetime(2027, 2, 1, 13, tzinfo=dt.UTC)
    page = demo.ask(Week())
    assert (page.frozen, page.today) == (True, dt.date(2027, 2, 1))
    (row,) = demo.ask(History())
    assert (row.summary, row.undoable) == ("Made the demo studio", False)


def test_prep_whose_aim_lies_before_today_is_done_but_for_what_is_left_open(demo: Studio) -> None:
    behind = [task for task in demo.ask(PrepTasks()) if task.owed and task.aim_day < dt.date(2027, 2, 1)]
    assert {task.class_ref for task in behind} <= {"C04", "C05", "C07", "C09"}
    assert behind, "C05's paper is ordered too late to be cut in time"


def test_two_fresh_demos_give_the_same_answers_to_the_octet(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answers = []
    for name in ("one", "two"):
        make_demo(tmp_path / name)
        found = []
        for words in (("week",), ("week", "--days", "60"), ("classes", "--scope", "all"), ("prep", "--closed")):
            assert main([*words, "--json", "--file", str(tmp_path / name)]) == 0
            found.append(capsys.readouterr().out)
        answers.append(found)
    assert answers[0] == answers[1]
    assert json.loads(answers[0][0])["kind"] == "week"


def test_it_can_stand_at_a_later_day_but_at_none_before_its_own(tmp_path: Path) -> None:
    make_demo(tmp_path / "d", on=dt.date(2027, 2, 10))
    with Studio(str(tmp_path / "d")) as studio:
        assert studio.now == dt.datetime(2027, 2, 10, 13, tzinfo=dt.UTC)
    with pytest.raises(InvalidError, match="starts on 01 Feb 2027"):
        make_demo(tmp_path / "e", on=dt.date(2027, 1, 31))
    assert not (tmp_path / "e").exists()


def test_it_is_made_afresh_under_the_eyes_of_an_open_window(tmp_path: Path) -> None:
    path = demo_copy(tmp_path)
    with Studio(str(path)) as window:
        window.ask(Week())
        make_demo(path, on=dt.date(2027, 2, 10))
        assert window.ask(Week()).today == dt.date(2027, 2, 10)


def test_it_is_never_made_over_another_studio(tmp_path: Path) -> None:
    path = tmp_path / "own.kitwright"
    a_studio(path, id_seed=None).close()
    before = path.read_bytes()
    with pytest.raises(ConflictError, match="is not the demo"):
        make_demo(path)
    assert path.read_bytes() == before
