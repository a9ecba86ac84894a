"""Names, addresses and phones that a later file changes under the row of a sign-up kept before."""

from __future__ import annotations

from typing import Any

import pytest

from scheduling.commands.bookings import CancelBooking
from scheduling.commands.erasing import ErasePerson
from scheduling.commands.importing import FileKept, KeepSignUps
from scheduling.commands.people import AddPerson, ChangePerson
from scheduling.commands.undoing import Redo, Undo
from scheduling.errors import ConflictError, InvalidError
from scheduling.exchange.mapping import Mapping
from scheduling.queries.importing import KeptMapping, SignUpPreview
from scheduling.queries.people import FindPeople, Person
from scheduling.studio import Studio
from tests.support.builders import a_studio, dump
from tests.unit.test_importing import keep, lino, preview

HEAD = "Id,Name,E-mail,Phone,Class,Date,Tickets,Status\n"
UNA = "101,Una Yde,una@people.example,030 11,Linocut,2027-03-13,1,ok\n"
VAL = "102,Val Zahn,val@people.example,030 22,Linocut,2027-03-13,1,ok\n"


def known(studio: Studio, number: int = 2) -> tuple[str, str, str]:
    row = studio.ask(Person(number))
    return row.name, row.email, row.phone


def whats(seen: SignUpPreview) -> dict[int, tuple[str, str]]:
    return {entry.row: (entry.what, entry.about) for entry in seen.sign_ups}


def started(studio: Studio) -> None:
    lino(studio)
    keep(studio, HEAD + UNA + VAL)


@pytest.mark.parametrize(
    ("old", "new", "right"),
    [
        ("Val Zahn", "Valerie Zahn", ("Valerie Zahn", "val@people.example", "030 22")),
        ("val@people", "zahn@people", ("Val Zahn", "zahn@people.example", "030 22")),
        ("030 22", "030 99", ("Val Zahn", "val@people.example", "030 99")),
        ("Val Zahn,val@", "Valerie Zahn,valerie@", ("Valerie Zahn", "valerie@people.example", "030 22")),
    ],
)
def test_what_a_file_alone_changes_is_shown_kept_once_and_taken_back(old: str, new: str, right: Any) -> None:
    later = HEAD + VAL.replace(old, new) + UNA
    with a_studio() as studio:
        started(studio)
        before = dump(studio)
        seen = preview(studio, later)
        assert (seen.counts, seen.new_people, seen.ask) == ({"same": 1, "changed": 1}, 0, ())
        assert new.split(",")[0].removesuffix("@people") in seen.sign_ups[0].about
        assert dump(studio) == before
        kept = keep(studio, later)
        assert kept.rows == 1
        assert known(studio) == right
        assert studio.ask(FindPeople(right[0])).total == 1
        assert not preview(studio, later).may_keep
        studio.do(Undo(history_id=kept.history_id))
        assert dump(studio)["person"] == before["person"]
        assert dump(studio)["booking"] == before["booking"]
        studio.do(Redo())
        assert known(studio) == right


def test_how_a_number_is_spaced_or_an_address_capitalised_changes_nothing_and_an_empty_cell_empties_nothing() -> None:
    with a_studio() as studio:
        started(studio)
        for row in (VAL.replace("030 22", "03 022").replace("val@", "VAL@"), VAL.replace("030 22", "")):
            assert preview(studio, HEAD + UNA + row).counts == {"same": 2}
        keep(studio, HEAD + UNA + VAL.replace("030 22", "").replace(",1,", ",2,"))
        assert known(studio) == ("Val Zahn", "val@people.example", "030 22")


def test_what_she_alone_has_changed_stays_in_longer_files_too() -> None:
    wim = "103,Wim Aas,wim@people.example,,Linocut,2027-03-13,1,ok\n"
    with a_studio() as studio:
        started(studio)
        studio.do(ChangePerson(person_id=2, name="Valerie Z."))
        for text in (HEAD + UNA + VAL + wim, HEAD + UNA + VAL + wim.replace(",1,", ",2,")):
            assert whats(preview(studio, text))[3] == ("same", "")
            keep(studio, text)
            assert known(studio)[0] == "Valerie Z."


@pytest.mark.parametrize(("value", "right"), [("file", "Valerie Zahn"), ("here", "Vally Zahn")])
def test_what_both_have_changed_is_asked_and_asked_once(value: str, right: str) -> None:
    later = HEAD + UNA + VAL.replace("Val Zahn", "Valerie Zahn")
    with a_studio() as studio:
        started(studio)
        studio.do(ChangePerson(person_id=2, name="Vally Zahn"))
        seen = preview(studio, later)
        assert not seen.may_keep
        (asked,) = seen.ask
        assert asked.text == (
            "Row 3: the name is Valerie Zahn in the file now, and was changed to Vally Zahn here: which holds?"
        )
        assert [choice.value for choice in asked.choices] == ["file", "here"]
        mapping = studio.ask(KeptMapping("sales.csv")).answered(asked.kind, asked.about, value)
        answered = preview(studio, later, mapping=mapping)
        assert answered.ask == ()
        done(studio, answered)
        assert known(studio)[0] == right
        again = preview(studio, later)
        assert (again.ask, again.may_keep) == ((), False)


def done(studio: Studio, seen: SignUpPreview) -> FileKept:
    mapping = seen.mapping.as_dict()
    assert "details" not in mapping  # an answer about one row of one file is not remembered
    return studio.do(
        KeepSignUps(source=seen.source, digest="0", people=seen.people, sign_ups=seen.sign_ups, mapping=mapping)
    )


def test_an_answer_is_the_files_or_hers() -> None:
    with pytest.raises(InvalidError):
        Mapping().answered("changed here", "3 name", "both")


def test_rows_numbered_anew_rename_nobody() -> None:
    text = HEAD + "101,Kit Lund,kit@people.example,,Linocut,2027-03-13,1,ok\n" + UNA.replace("101", "102")
    with a_studio() as studio:
        started(studio)
        seen = preview(studio, text + VAL.replace("102", "103"))
        assert whats(seen) == {
            2: ("left out", "stood for Una Yde (A01) before: change or add them by hand"),
            3: ("left out", "stood for Val Zahn (A02) before, and names A01 now"),
            4: ("same", "on the class already (B02)"),
        }
        assert not seen.may_keep


def test_nobody_is_renamed_to_another_of_the_household() -> None:
    with a_studio() as studio:
        started(studio)
        studio.do(AddPerson(name="Kim Zahn", email="val@people.example"))
        seen = preview(studio, HEAD + UNA + VAL.replace("Val Zahn", "Kim Zahn"))
        assert whats(seen)[3] == ("left out", "stood for Val Zahn (A02) before, and names A03 now")


def test_a_row_kept_before_its_words_were_remembered_shows_what_differs_and_changes_nothing() -> None:
    with a_studio() as studio:
        started(studio)
        studio._connection.execute("UPDATE booking SET source_said = NULL")  # as files of version 16 are
        text = HEAD + UNA + VAL.replace("Val Zahn", "Valerie Zahn")
        assert whats(preview(studio, text))[3] == ("same", "name Val Zahn stays, Valerie Zahn in the file")
        keep(studio, text.replace("03-13,1,ok", "03-13,2,ok", 1))
        assert whats(preview(studio, text))[3] == ("same", "")


def test_what_another_window_changes_meanwhile_is_not_written_over() -> None:
    with a_studio() as studio:
        started(studio)
        seen = preview(studio, HEAD + UNA + VAL.replace("Val Zahn", "Valerie Zahn"))
        studio.do(ChangePerson(person_id=2, name="Vally Zahn"))
        with pytest.raises(ConflictError, match=r"Row 3: A02 was changed meanwhile"):
            done(studio, seen)
        assert known(studio)[0] == "Vally Zahn"


def test_who_was_erased_gets_no_name_back() -> None:
    with a_studio() as studio:
        started(studio)
        studio.do(CancelBooking(booking_id=2))
        studio.do(ErasePerson(person_id=2))
        assert dump(studio)["booking"][1]["source_said"] is None
        keep(studio, HEAD + UNA + VAL.replace("Val Zahn", "Valerie Zahn").replace(",1,", ",2,"))
        assert "Zahn" not in str(dump(studio))


def test_who_came_is_marked_once_and_never_over_her_own_mark() -> None:
    came = HEAD + UNA.replace("ok", "attended") + VAL.replace("ok", "no-show")
    with a_studio() as studio:
        started(studio)
        seen = preview(studio, came)
        assert whats(seen) == {2: ("changed", "attended in the file"), 3: ("changed", "no-show in the file")}
        keep(studio, came)
        assert [row["mark"] for row in dump(studio)["seat"]] == ["attended", "no-show"]
        other = HEAD + UNA.replace("ok", "no-show") + VAL.replace("ok", "no-show")
        assert preview(studio, other).counts == {"same": 2}
