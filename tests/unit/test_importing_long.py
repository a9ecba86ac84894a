"""Long imports: prepared beside others that save, put in at once, one history row, one undo (decisions 17)."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from scheduling.clock import FixedClock
from scheduling.commands.bookings import Book, CancelBooking
from scheduling.commands.decisions import Decide
from scheduling.commands.erasing import EraseDueHealthNotes, ErasePerson
from scheduling.commands.importing import FileKept, KeepSignUps
from scheduling.commands.payments import TakePayment
from scheduling.commands.people import ChangePerson
from scheduling.commands.undoing import Redo, Undo
from scheduling.errors import ConflictError, InvalidError
from scheduling.exchange.read import read_people
from scheduling.queries.import_effect import ImportEffect
from scheduling.queries.importing import KeptMapping, PreviewSignUps
from scheduling.queries.people import FindPeople
from scheduling.queries.people_list import PeopleTexts
from scheduling.queries.roster import Roster
from scheduling.store import bulk, database
from scheduling.store.bulk import Bulk
from scheduling.store.rows import utc_text
from scheduling.studio import Studio
from tests.support.builders import NOW, ZONE, a_studio, book, class_date, clock_at, dump, person

HEAD = "Name,Email,Class,Tickets,Status,Allergies\n"


def rows_of(people: int, *, state: str = "paid", heads: int = 1, note: str = "") -> str:
    """A file of so many people, each on C01 or C02."""
    return HEAD + "".join(
        f"Person {n} Ash,p{n}@example.org,C0{1 + n % 2},{heads},{state},{note}\n" for n in range(people)
    )


def request(studio: Studio, text: str, source: str = "sales.csv") -> KeepSignUps:
    read = read_people(text.encode(), source, today=NOW.date(), mapping=studio.ask(KeptMapping(source)), zone=ZONE)
    seen = studio.ask(PreviewSignUps(read, source))
    assert seen.ask == ()
    return KeepSignUps(
        source=source, digest="d", people=seen.people, sign_ups=seen.sign_ups, mapping=seen.mapping.as_dict()
    )


def keep(studio: Studio, text: str) -> FileKept:
    return studio.do(request(studio, text))


def two_classes(path: Path | str = ":memory:", seats: int = 8, **also: object) -> Studio:
    studio = a_studio(path, **also)  # type: ignore[arg-type]  # whatever the set-up takes
    class_date(studio, "2027-03-13", title="Linocut", seats=seats)
    class_date(studio, "2027-03-20", title="Album", seats=seats)
    return studio


def state(studio: Studio) -> dict[str, list[dict[str, object]]]:
    """All but the history and the counters that only rise."""
    rows = dump(studio, without=frozenset({"modified_at", "sequence"}))
    return {table: found for table, found in rows.items() if table not in ("history", "history_part")}


def once(deed: Callable[[], object]) -> Callable[[int, int], bool]:
    """A progress that does something the first time it is told."""
    left = [deed]

    def told(_done: int, _whole: int) -> bool:
        if left:
            left.pop()()
        return True

    return told


def test_a_booking_made_while_it_is_prepared_is_kept_and_the_seats_are_counted_anew(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with two_classes(path, seats=3) as studio, studio.again() as other:
        wanted = request(studio, rows_of(6))
        bo = person(studio, "Bo")
        kept = studio.do(wanted, once(lambda: other.do(Book(class_date_id=1, payer_id=bo, people=(bo,)))))
        assert kept.said == "sales.csv: 6 sign-ups, 6 new attendees, 1 of them on the waitlist."
        assert [row.name for row in studio.ask(Roster(1)).seated] == ["Bo", "Person 0 Ash", "Person 2 Ash"]
        assert [row.payer for row in studio.ask(Roster(1)).waiting] == ["Person 4 Ash"]


def test_the_same_file_kept_meanwhile_by_another_window_adds_nothing_twice(tmp_path: Path) -> None:
    with two_classes(tmp_path / "s.kitwright") as studio, studio.again() as other:
        wanted = request(studio, rows_of(6))
        kept = studio.do(wanted, once(lambda: keep(other, rows_of(4))))
        assert kept.said.endswith("2 sign-ups, 2 new attendees, 4 kept meanwhile by another window.")
        assert studio.ask(FindPeople("")).total == 6
        assert [len(studio.ask(Roster(number)).seated) for number in (1, 2)] == [3, 3]


def test_an_attendee_added_meanwhile_is_taken_for_the_same(tmp_path: Path) -> None:
    with two_classes(tmp_path / "s.kitwright") as studio, studio.again() as other:
        wanted = request(studio, rows_of(1))
        studio.do(wanted, once(lambda: person(other, "person 0 ash", email="P0@example.org")))
        assert studio.ask(FindPeople("ash")).total == 1


def test_a_class_called_off_meanwhile_refuses_all_of_it(tmp_path: Path) -> None:
    with two_classes(tmp_path / "s.kitwright") as studio, studio.again() as other:
        wanted = request(studio, rows_of(4))
        with pytest.raises(ConflictError, match="C02 was called off meanwhile"):
            studio.do(wanted, once(lambda: other.do(Decide(class_date_id=2, choice="call off"))))
        assert studio.ask(FindPeople("")).total == 0


def test_others_who_save_all_the_time_do_not_hold_it_off(tmp_path: Path) -> None:
    with two_classes(tmp_path / "s.kitwright") as studio, studio.again() as other:

        def always(_done: int, _whole: int) -> bool:
            person(other, "Somebody")
            return True

        assert studio.do(request(studio, rows_of(4)), always).rows == 8
        assert studio.ask(FindPeople("ash")).total == 4


def test_what_is_stopped_while_it_is_prepared_keeps_nothing(tmp_path: Path) -> None:
    with two_classes(tmp_path / "s.kitwright") as studio:
        before = dump(studio)
        steps: list[tuple[int, int]] = []

        def stop(done: int, whole: int) -> bool:
            steps.append((done, whole))
            return len(steps) < 3

        with pytest.raises(InvalidError, match="The keeping was stopped") as raised:
            studio.do(request(studio, rows_of(1200)), stop)
        assert raised.value.field == "stopped"
        assert steps == [(0, 2400), (500, 2400), (1000, 2400)]
        assert dump(studio) == before


def test_nobody_has_to_wait_while_it_is_prepared_only_while_it_is_put_in(tmp_path: Path) -> None:
    with two_classes(tmp_path / "s.kitwright") as studio, studio.again() as other:
        told: list[int] = []

        def meanwhile(done: int, _whole: int) -> bool:
            told.append(other.do(ChangePerson(person_id=1, note=f"step {done}")).history_id)
            return True

        bo = person(studio, "Bo")
        assert bo == 1
        studio.do(request(studio, rows_of(2)), meanwhile)
        assert len(told) > 3


def mixed(studio: Studio) -> str:
    """A studio in which a file has been kept, and a later one that adds, takes heads, gives heads and cancels."""
    keep(studio, rows_of(6, heads=2))
    later = rows_of(6, heads=2).replace("p0@example.org,C01,2", "p0@example.org,C01,3")
    later = later.replace("p1@example.org,C02,2", "p1@example.org,C02,1")
    later = later.replace("p2@example.org,C01,2,paid", "p2@example.org,C01,2,cancelled")
    return later + "New One,n@example.org,C01,1,attended,nuts\n" + "Bo Birk,bo@example.org,C02,1,paid,wasps\n"


def test_a_file_with_new_changed_and_cancelled_rows_is_undone_and_made_again_exactly() -> None:
    with two_classes(seats=10) as studio:
        person(studio, "Bo Birk", email="bo@example.org", health_note="asthma")
        later = mixed(studio)
        before = state(studio)
        kept = keep(studio, later)
        assert kept.said == "sales.csv: 2 sign-ups, 1 new attendee, 3 changed."
        after = state(studio)
        assert after != before
        studio.do(Undo())
        assert state(studio) == before
        studio.do(Redo())
        assert state(studio) == after
        studio.do(Undo(history_id=kept.history_id))
        assert state(studio) == before


def test_heads_that_a_file_frees_are_there_for_its_later_rows() -> None:
    with two_classes(seats=4) as studio:
        keep(studio, rows_of(4, heads=2))
        later = rows_of(4, heads=2).replace("p0@example.org,C01,2,paid", "p0@example.org,C01,2,cancelled")
        kept = keep(studio, later + "New One,n@example.org,C01,2,paid,\n")
        assert kept.said == "sales.csv: 1 sign-up, 1 new attendee, 1 changed."


def test_money_held_for_heads_that_a_file_takes_away_is_told_and_only_that() -> None:
    with two_classes() as studio:
        keep(studio, rows_of(4))
        studio.do(TakePayment(booking_id=1, amount_minor=1000))
        kept = keep(studio, rows_of(4, state="cancelled"))
        assert len(kept.warnings) == 1
        assert "10.00 is held for B01" in kept.warnings[0]


def test_undo_names_what_was_added_since() -> None:
    with two_classes() as studio:
        kept = keep(studio, rows_of(4))
        added = book(studio, 2, 1)
        with pytest.raises(ConflictError, match=f"A later action stands in the way: {added.history_id}, B05 for A01"):
            studio.do(Undo(history_id=kept.history_id))
        studio.do(Undo(history_id=added.history_id))
        studio.do(Undo(history_id=kept.history_id))
        assert studio.ask(FindPeople("")).total == 0


def test_undo_names_what_was_changed_since_and_keeps_all() -> None:
    with two_classes() as studio:
        kept = keep(studio, rows_of(4))
        changed = studio.do(ChangePerson(person_id=3, phone="555"))
        before = dump(studio)
        with pytest.raises(ConflictError, match=f"in the way: {changed.history_id}, Changed A03"):
            studio.do(Undo(history_id=kept.history_id))
        assert dump(studio) == before


def test_an_earlier_action_is_not_taken_back_from_under_an_import() -> None:
    with a_studio() as studio:
        class_date(studio, "2027-03-13", title="Linocut")
        class_date(studio, "2027-03-20", title="Album")
        made = max(row["id"] for row in dump(studio)["history"])  # type: ignore[type-var]  # whole numbers
        kept = keep(studio, rows_of(4))
        with pytest.raises(ConflictError, match=f"in the way: {kept.history_id}, Imported sign-ups"):
            studio.do(Undo(history_id=made))


def test_the_list_of_attendees_hears_of_those_made_and_taken_back_in_parts() -> None:
    with two_classes() as studio:
        since = studio.ask(PeopleTexts()).revision
        keep(studio, rows_of(3))
        found = studio.ask(PeopleTexts(since))
        assert sorted(text.id for text in found.texts) == [1, 2, 3]
        studio.do(Undo())
        assert studio.ask(PeopleTexts(found.revision)).gone == {1, 2, 3}


def octets_of(folder: Path) -> bytes:
    return b"".join(path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file())


def test_who_is_erased_goes_from_the_parts_of_the_history_too(tmp_path: Path) -> None:
    with two_classes(tmp_path / "s.kitwright") as studio:
        kept = keep(studio, HEAD + "Ann Quarrelwick,quince@example.org,C01,1,paid,bee stings\nBo,b@x.org,C02,1,,\n")
        studio.copy_to()
        assert b"Quarrelwick" in octets_of(tmp_path)
        studio.do(CancelBooking(booking_id=1))
        studio.do(ErasePerson(person_id=1))
        left = octets_of(tmp_path)
        assert not any(word in left for word in (b"Quarrelwick", b"quince@example.org", b"bee stings"))
        with pytest.raises(ConflictError, match="in the way"):
            studio.do(Undo(history_id=kept.history_id))


def test_a_health_note_that_only_the_parts_hold_goes_on_its_day(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with two_classes(path, health_days_kept=10) as studio:
        keep(studio, rows_of(2, note="bee stings"))
        studio.do(Undo())
        assert b"bee stings" in octets_of(tmp_path)
    with Studio(str(path), clock=clock_at(2027, 6, 1)) as studio:
        assert "2 health notes" in " ".join(studio.notices) or "2 people" in " ".join(studio.notices)
        assert b"bee stings" not in octets_of(tmp_path)
        assert studio.do(EraseDueHealthNotes()).history_id == 0


def test_a_file_that_is_full_of_people_is_kept_taken_back_and_made_again_part_by_part() -> None:
    with two_classes() as studio:
        before = state(studio)
        keep(studio, rows_of(bulk.ROWS_A_PART * 2 + 3))
        parts = [(row["made_in"], row["first_id"], row["last_id"]) for row in dump(studio)["history_part"]]
        assert parts[:3] == [("person", 1, 500), ("person", 501, 1000), ("person", 1001, 1003)]
        assert [part[0] for part in parts[3:]] == ["booking"] * 3 + ["seat"] * 3
        (row,) = [row for row in dump(studio)["history"] if row["command"] == "KeepSignUps"]
        assert len(str(row["changes"])) < 1000
        after = state(studio)
        studio.do(Undo())
        assert state(studio) == before
        studio.do(Redo())
        assert state(studio) == after


def test_the_rules_of_the_file_hold_for_rows_in_parts_too(tmp_path: Path) -> None:
    with two_classes(tmp_path / "s.kitwright", seats=1) as studio:
        rows = Bulk(studio._connection, ("person", "booking", "seat"), utc_text(NOW), None)
        terms: dict[str, str | int | None] = {"fee_minor": 0, "refund_tiers": "[]", "created_at": utc_text(NOW)}
        ann = rows.make("person", {"name": "Ann", "folded": "ann", "created_at": utc_text(NOW)})
        booking = rows.make("booking", {"class_date_id": 1, "payer_id": ann, "state": "confirmed", **terms})
        for _ in range(2):
            rows.make("seat", {"booking_id": booking})
        with (
            pytest.raises(ConflictError, match="no seat left"),
            database.refusals(studio.path),
            database.writing(studio._connection),
        ):
            bulk.put(studio._connection, rows.parts())
        assert dump(studio)["person"] == []


@pytest.mark.all
def test_thousands_of_rows_are_kept_beside_a_window_that_books(tmp_path: Path) -> None:
    path = tmp_path / "s.kitwright"
    with two_classes(path, seats=1500, clock=FixedClock(NOW)) as studio, studio.again() as other:
        bo = person(studio, "Bo")
        wanted = request(studio, rows_of(4000))
        booked: list[int] = []

        def meanwhile(_done: int, _whole: int) -> bool:
            if len(booked) < 2:
                booked.append(other.do(Book(class_date_id=1 + len(booked), payer_id=bo, people=(bo,))).booking_id)
            return True

        kept = studio.do(wanted, meanwhile)
        assert kept.said == "sales.csv: 4000 sign-ups, 4000 new attendees, 1002 of them on the waitlist."
        assert [len(studio.ask(Roster(number)).seated) for number in (1, 2)] == [1500, 1500]
        after = state(studio)
        studio.do(Undo())
        assert studio.ask(FindPeople("")).total == 1
        studio.do(Redo())
        assert state(studio) == after


def effects(studio: Studio, text: str) -> dict[int, tuple[int, set[int]]]:
    """What the preview says: heads that come to each class, and the rows that would wait."""
    asked = ImportEffect(request(studio, text).sign_ups)
    return {one.class_row.id: (one.heads, set(one.waiting)) for one in studio.ask(asked)}


def test_the_preview_says_who_will_wait_as_it_is_kept_then() -> None:
    with two_classes(seats=3) as studio:
        book(studio, 2, heads=2)
        book(studio, 2, person(studio, "Waits"), heads=2)
        text = rows_of(8)
        told = effects(studio, text)
        assert told == {1: (4, {8}), 2: (4, {3, 5, 7, 9})}
        keep(studio, text)
        waiting = [row.payer for number in (1, 2) for row in studio.ask(Roster(number)).waiting]
        assert waiting == ["Person 6 Ash", "Waits", "Waits", *(f"Person {n} Ash" for n in (1, 3, 5, 7))]


def test_the_preview_counts_the_seats_that_the_file_itself_frees() -> None:
    with two_classes(seats=3) as studio:
        keep(studio, rows_of(6))
        later = rows_of(6).replace("p0@example.org,C01,1,paid", "p0@example.org,C01,1,cancelled")
        later += "New One,n@example.org,C01,1,paid,\nNew Two,t@example.org,C01,1,paid,\n"
        assert effects(studio, later) == {1: (2, {9})}
        assert "1 of them on the waitlist" in keep(studio, later).said
