"""Sign-ups and busy times from outside files: shown first, kept once, taken back by one undo (decisions 17)."""

from __future__ import annotations

import datetime as dt

import pytest

from scheduling.commands.bookings import CancelBooking
from scheduling.commands.erasing import ErasePerson
from scheduling.commands.importing import FileKept, KeepBusyTimes, KeepSignUps
from scheduling.commands.people import ChangePerson
from scheduling.commands.undoing import Redo, Undo
from scheduling.errors import ConflictError
from scheduling.exchange.mapping import Mapping
from scheduling.exchange.read import read_people
from scheduling.model.taking_in import BusyEntry, file_digest
from scheduling.outside import busy_entries, read_busy, read_window
from scheduling.queries.importing import BusyPreview, KeptMapping, PreviewBusy, PreviewSignUps, SignUpPreview
from scheduling.queries.people import FindPeople, Person
from scheduling.queries.roster import Roster
from scheduling.queries.week import Week
from scheduling.studio import Studio
from tests.support.builders import ZONE, a_studio, book, class_date, dump, person

TODAY = dt.date(2027, 2, 1)
HEAD = "Name,Email,Class,Date,Tickets,Status\n"


def preview(studio: Studio, text: str, *, source: str = "sales.csv", mapping: Mapping | None = None) -> SignUpPreview:
    kept = mapping or studio.ask(KeptMapping(source))
    read = read_people(text.encode(), source, today=TODAY, mapping=kept, zone=ZONE)
    return studio.ask(PreviewSignUps(read, source))


def keep(studio: Studio, text: str, *, source: str = "sales.csv") -> FileKept:
    seen = preview(studio, text, source=source)
    assert seen.ask == ()
    return studio.do(
        KeepSignUps(
            source=source,
            digest=file_digest(text.encode()),
            people=seen.people,
            sign_ups=seen.sign_ups,
            mapping=seen.mapping.as_dict(),
        )
    )


def lino(studio: Studio, seats: int = 8) -> int:
    return class_date(studio, "2027-03-13", title="Linocut", seats=seats)


def names(studio: Studio, class_id: int = 1) -> list[str]:
    return [row.name or f"(of {row.payer})" for row in studio.ask(Roster(class_id)).seated]


ROWS = HEAD + "Ann Ash,ann@example.org,Linocut,2027-03-13,2,paid\nBo Birk,bo@example.org,Linocut,2027-03-13,1,paid\n"


def test_a_preview_says_what_is_new_and_keeps_nothing() -> None:
    with a_studio() as studio:
        lino(studio)
        before = dump(studio)
        seen = preview(studio, ROWS)
        assert (seen.counts, seen.new_people, seen.may_keep) == ({"new": 2}, 2, True)
        assert [(one.class_text, one.heads, one.what) for one in seen.sign_ups] == [
            ("C01 Linocut", 2, "new"), ("C01 Linocut", 1, "new"),
        ]  # fmt: skip
        assert dump(studio) == before


def test_what_is_kept_is_booked_and_one_undo_takes_all_of_it_back() -> None:
    with a_studio() as studio:
        lino(studio)
        kept = keep(studio, ROWS)
        assert kept.said == "sales.csv: 2 sign-ups, 2 new attendees."
        assert names(studio) == ["Ann Ash", "(of Ann Ash)", "Bo Birk"]
        studio.do(Undo())
        assert names(studio) == []
        assert studio.ask(FindPeople("")).total == 0
        assert dump(studio)["outside_source"] == []
        studio.do(Redo())
        assert names(studio) == ["Ann Ash", "(of Ann Ash)", "Bo Birk"]


def test_the_same_file_twice_adds_nothing() -> None:
    with a_studio() as studio:
        lino(studio)
        keep(studio, ROWS)
        before = studio.revision
        seen = preview(studio, ROWS)
        assert (seen.counts, seen.new_people, seen.may_keep) == ({"same": 2}, 0, False)
        assert keep(studio, ROWS).history_id == 0
        assert studio.revision == before


def test_nor_does_it_after_she_has_corrected_a_name_or_an_address() -> None:
    with a_studio() as studio:
        lino(studio)
        keep(studio, ROWS)
        studio.do(ChangePerson(person_id=1, name="Anna Ashe", email="anna@example.org"))
        assert preview(studio, ROWS).new_people == 0
        assert not preview(studio, ROWS).may_keep


def test_nor_does_it_bring_back_who_was_erased() -> None:
    with a_studio() as studio:
        lino(studio)
        keep(studio, ROWS)
        studio.do(CancelBooking(booking_id=1))
        studio.do(ErasePerson(person_id=1))
        keep(studio, ROWS)
        assert studio.ask(FindPeople("ash")).total == 0
        assert "Ann Ash" not in str(dump(studio))


def test_more_fewer_and_no_heads_in_a_later_file_change_the_booking() -> None:
    with a_studio() as studio:
        lino(studio)
        keep(studio, ROWS)
        later = ROWS.replace("2027-03-13,2,paid", "2027-03-13,3,paid").replace(
            "2027-03-13,1,paid", "2027-03-13,1,cancelled"
        )
        seen = preview(studio, later)
        assert seen.counts == {"changed": 2}
        assert [one.about for one in seen.sign_ups] == ["2 heads here, 3 heads in the file", "cancelled in the file"]
        keep(studio, later)
        assert names(studio) == ["Ann Ash", "(of Ann Ash)", "(of Ann Ash)"]
        keep(studio, ROWS.replace("2027-03-13,2,paid", "2027-03-13,1,paid"))
        assert names(studio) == ["Ann Ash"], "what is cancelled here stays so"


def test_heads_that_do_not_fit_any_more_are_refused_by_row_with_nothing_kept() -> None:
    with a_studio() as studio:
        lino(studio, seats=3)
        keep(studio, ROWS)
        before = dump(studio)
        with pytest.raises(ConflictError, match="Row 2: 1 head more do not fit on C01"):
            keep(studio, ROWS.replace("2027-03-13,2,paid", "2027-03-13,3,paid"))
        assert dump(studio) == before


def test_whom_no_seat_is_left_for_waits_in_the_order_of_the_file() -> None:
    with a_studio() as studio:
        lino(studio, seats=2)
        rows = HEAD + "".join(f"P{n} X,p{n}@example.org,Linocut,2027-03-13,{n},paid\n" for n in (1, 2, 1))
        keep(studio, rows)
        assert names(studio) == ["P1 X"]
        assert [row.payer for row in studio.ask(Roster(1)).waiting] == ["P2 X", "P2 X"]


def test_a_file_does_not_pass_over_those_who_waited_before_it() -> None:
    with a_studio() as studio:
        lino(studio, seats=3)
        book(studio, 1, heads=2)
        book(studio, 1, person(studio, "Waits"), heads=2)
        keep(studio, HEAD + "Ann Ash,ann@example.org,Linocut,2027-03-13,1,paid\n")
        assert [row.payer for row in studio.ask(Roster(1)).waiting] == ["Waits", "Waits", "Ann Ash"]


def test_who_is_known_is_recognised_by_name_and_address() -> None:
    with a_studio() as studio:
        lino(studio)
        ann = person(studio, "ANN ash", email="Ann@Example.org")
        person(studio, "Bo Birk", email="other@example.org")
        seen = preview(studio, ROWS)
        assert [one.person_id for one in seen.people] == [ann, None]


def test_who_is_on_the_class_already_is_not_booked_again() -> None:
    with a_studio() as studio:
        lino(studio)
        book(studio, 1, person(studio, "Ann Ash", email="ann@example.org"))
        seen = preview(studio, ROWS)
        assert (seen.sign_ups[0].what, seen.sign_ups[0].about) == ("same", "on the class already (B01)")


def test_two_orders_of_one_person_on_one_class_are_one_named_seat_and_one_without_a_name() -> None:
    with a_studio() as studio:
        lino(studio)
        head = "Order,Name,Email,Class,Date\n"
        rows = "".join(f"{order},Ann Ash,ann@example.org,Linocut,2027-03-13\n" for order in ("1001", "1002"))
        keep(studio, head + rows)
        assert sorted(names(studio)) in (["(of Ann Ash)", "Ann Ash"], ["Ann Ash"])
        seats = [seat["person_id"] for seat in dump(studio)["seat"]]
        assert seats.count(1) == 1


def test_rows_that_fit_no_class_or_several_are_left_out_with_the_reason() -> None:
    with a_studio() as studio:
        lino(studio)
        class_date(studio, "2027-03-13", "14:00", "16:00", title="Linocut")
        seen = preview(studio, ROWS.replace("Bo Birk,bo@example.org,Linocut", "Bo Birk,bo@example.org,Pottery"))
        assert [one.what for one in seen.sign_ups] == ["left out", "left out"]
        assert seen.sign_ups[0].about == "several classes fit: C01, C02"
        assert "no class fits" in seen.sign_ups[1].about


def test_a_question_is_asked_before_anything_is_kept_and_its_answer_is_remembered() -> None:
    text = "Name,Email,Class,Date\nAnn Ash,ann@example.org,Linocut,03/04/2027\n"
    with a_studio() as studio:
        class_date(studio, "2027-04-03", title="Linocut")
        seen = preview(studio, text)
        assert [question.kind for question in seen.ask] == ["date order"]
        assert not seen.may_keep
        answered = Mapping().answered("date order", "Date", "day-first")
        read = preview(studio, text, mapping=answered)
        assert (read.ask, read.counts) == ((), {"new": 1})
        studio.do(
            KeepSignUps(
                source="sales.csv", digest="d", people=read.people, sign_ups=read.sign_ups,
                mapping=read.mapping.as_dict(),
            )
        )  # fmt: skip
        assert preview(studio, text).ask == ()


def test_a_health_note_is_kept_until_after_the_class_and_added_for_one_who_is_known() -> None:
    head = "Name,Email,Class,Date,Allergies\n"
    with a_studio(health_days_kept=10) as studio:
        lino(studio)
        person(studio, "Bo Birk", email="bo@example.org", health_note="asthma")
        keep(
            studio,
            head + "Ann Ash,ann@example.org,Linocut,2027-03-13,nuts\nBo Birk,bo@example.org,Linocut,2027-03-13,wasps\n",
        )
        pages = [studio.ask(Person(number)) for number in (2, 1)]
        assert [page.health_note for page in pages] == ["nuts", "asthma; wasps"]
        assert {page.health_erase_on for page in pages} == {"2027-03-23"}
        assert "nuts" not in str([row["note"] for row in dump(studio)["booking"]])


def busy(uid: str, day: str, start: str = "10:00", end: str = "11:00", title: str = "Dentist") -> str:
    stamp, first, last = day.replace("-", ""), start.replace(":", ""), end.replace(":", "")
    return (
        f"BEGIN:VEVENT\r\nUID:{uid}\r\nDTSTAMP:20270101T000000Z\r\nDTSTART:{stamp}T{first}00\r\n"
        f"DTEND:{stamp}T{last}00\r\nSUMMARY:{title}\r\nEND:VEVENT\r\n"
    )


def calendar(*events: str) -> bytes:
    return ("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//t//t//EN\r\n" + "".join(events) + "END:VCALENDAR\r\n").encode()


def seen_busy(studio: Studio, content: bytes) -> BusyPreview:
    window = read_window(TODAY)
    read = read_busy(content, "own.ics", home_zone=ZONE, window=window, zones={})
    return studio.ask(PreviewBusy(busy_entries(read, ZONE), "own.ics", window[0]))


def keep_busy(studio: Studio, content: bytes, *, empty: bool = False) -> FileKept:
    return studio.do(
        KeepBusyTimes(
            source="own.ics", digest=file_digest(content), entries=seen_busy(studio, content).entries,
            first=read_window(TODAY)[0], empty_is_meant=empty,
        )
    )  # fmt: skip


def kept_busy(studio: Studio) -> list[dict[str, object]]:
    """The rows of busy times as the file holds them."""
    tables = dump(studio)
    return tables.get("outside_time", []) or tables.get("busy_time", [])


def test_busy_times_come_change_and_go_with_their_file() -> None:
    with a_studio() as studio:
        keep_busy(studio, calendar(busy("a", "2027-02-02"), busy("b", "2027-02-03"), busy("c", "2027-02-04")))
        later = calendar(busy("a", "2027-02-02"), busy("b", "2027-02-03", end="12:00"), busy("d", "2027-02-05"))
        seen = seen_busy(studio, later)
        assert (len(seen.new), len(seen.changed), seen.gone, seen.same) == (1, 1, 1, 1)
        keep_busy(studio, later)
        assert [(row["uid"], row["ends"]) for row in kept_busy(studio)] == [
            ("a", "2027-02-02T11:00"), ("b", "2027-02-03T12:00"), ("d", "2027-02-05T11:00"),
        ]  # fmt: skip
        assert keep_busy(studio, later).history_id == 0
        studio.do(Undo())
        assert [row["uid"] for row in kept_busy(studio)] == ["a", "b", "c"]


def test_busy_times_of_the_past_stay_when_the_file_has_moved_on() -> None:
    with a_studio() as studio:
        old = BusyEntry("old", "Holiday", True, "2026-06-01", "2026-06-08", ZONE)
        studio.do(KeepBusyTimes(source="own.ics", digest="x", entries=(old,), first=dt.date(2026, 1, 1)))
        keep_busy(studio, calendar(busy("a", "2027-02-02")))
        assert [row["uid"] for row in kept_busy(studio)] == ["old", "a"]


def test_an_empty_file_never_wipes_what_is_kept() -> None:
    with a_studio() as studio:
        keep_busy(studio, calendar(busy("a", "2027-02-02")))
        with pytest.raises(ConflictError, match="holds no busy time"):
            keep_busy(studio, calendar())
        assert len(kept_busy(studio)) == 1
        keep_busy(studio, calendar(), empty=True)
        assert kept_busy(studio) == []


def test_prep_is_not_laid_on_busy_time_and_a_whole_day_is_blocked() -> None:
    with a_studio() as studio:
        class_date(studio, "2027-02-20")
        free = {day.day.day: day.planned_minutes for day in studio.ask(Week()).days}
        assert free[2] > 0
        whole = busy("w", "2027-02-02").replace("DTSTART:20270202T100000", "DTSTART;VALUE=DATE:20270202")
        whole = whole.replace("DTEND:20270202T110000", "DTEND;VALUE=DATE:20270203")
        keep_busy(studio, calendar(whole, busy("a", "2027-02-03", "09:00", "12:00")))
        week = {day.day.day: day for day in studio.ask(Week()).days}
        assert week[2].planned_minutes == 0
        assert all(task.starts.hour >= 12 for task in week[3].tasks)


def test_classes_that_lie_in_new_busy_times_are_told_before_they_are_kept() -> None:
    with a_studio() as studio:
        class_date(studio, "2027-03-13", "10:00", "12:30", title="Linocut")
        seen = seen_busy(studio, calendar(busy("a", "2027-03-13", "12:00", "13:00")))
        assert seen.clashes == ("C01 Linocut on Sat 13 Mar lies in Dentist.",)


@pytest.mark.parametrize(
    ("starts", "ends", "said"),
    [
        ("2028-02-28", "2028-03-01", "Mon 28 Feb 2028 to Tue 29 Feb 2028, all day"),
        ("2027-12-31", "2028-01-01", "Fri 31 Dec 2027, all day"),
        ("2027-03-14", "2027-03-14", "Sun 14 Mar 2027, all day"),
    ],
)
def test_whole_days_are_told_by_the_last_day_that_they_take(starts: str, ends: str, said: str) -> None:
    assert BusyEntry(uid="a", title="Away", all_day=True, starts=starts, ends=ends, zone="").span == said
