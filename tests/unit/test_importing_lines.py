"""Files of people through the command line: answers, columns, encodings, contacts, and what is remembered."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from scheduling.queries.people import FindPeople, Person, PersonPage
from scheduling.queries.roster import Roster
from scheduling.studio import Studio
from tests.support.builders import a_studio, class_date
from tui.lines import entry


class Lines:
    """A studio with one class, C01, and its command line."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.path, self._folder, self._capsys = folder / "s.kitwright", folder, capsys
        with a_studio(self.path) as studio:
            class_date(studio, title="Album", seats=8)

    def take(self, content: bytes | str, *options: str, name: str = "people.csv", keep: bool = True) -> dict[str, Any]:
        file = self._folder / name
        file.write_bytes(content.encode() if isinstance(content, str) else content)
        given = ["import", str(file), "--file", str(self.path), "--json", *options, *(["--keep"] if keep else [])]
        self._capsys.readouterr()
        entry.run(given)
        return dict(json.loads(self._capsys.readouterr().out))

    def person(self, name: str) -> PersonPage:
        with Studio(str(self.path)) as studio:
            (row,) = studio.ask(FindPeople(name)).rows
            return studio.ask(Person(row.id))

    def seated(self) -> list[str]:
        with Studio(str(self.path)) as studio:
            return [row.name or "?" for row in studio.ask(Roster(1)).seated]


@pytest.fixture
def lines(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Lines:
    return Lines(tmp_path, capsys)


def test_several_health_notes_of_one_person_are_kept_joined(lines: Lines) -> None:
    rows = (
        "Name,Email,Class,Date,Allergies\nAda Wren,a@x.org,C01,2027-03-13,nuts\nAda Wren,a@x.org,C09,2027-03-20,latex\n"
    )
    answer = lines.take(rows)
    assert "nuts" not in json.dumps(answer)
    assert lines.person("Ada Wren").health_note == "nuts; latex"


def test_heads_that_cannot_be_read_are_left_for_a_look_and_taken_as_she_says(lines: Lines) -> None:
    rows = "Name,Email,Class,Seats\nAda Wren,a@x.org,C01,some of us\nBea Finch,b@x.org,C01,1\n"
    answer = lines.take(rows)
    assert [(row["name"], row["what"]) for row in answer["rows"]] == [("Ada Wren", "left out"), ("Bea Finch", "new")]
    assert "cannot be read: say how many they are" in answer["rows"][0]["about"]
    lines.take(rows, "--heads", "2=3")
    assert sorted(lines.seated()) == ["?", "?", "Ada Wren", "Bea Finch"]


@pytest.mark.parametrize("given", ["2", "x=3", "2=0", "2=-1", "2=9999"])
def test_heads_that_make_no_sense_are_refused(lines: Lines, given: str) -> None:
    answer = lines.take("Name,Class,Seats\nAda,C01,?\n", "--heads", given)
    assert (answer["kind"], answer["field"]) == ("refused", "heads")


def test_a_contact_file_makes_attendees_once(lines: Lines) -> None:
    cards = (
        "BEGIN:VCARD\r\nVERSION:3.0\r\nFN:Ada Wren\r\nEMAIL:ada@x.org\r\nTEL:+44 7700 900125\r\nNOTE:left-handed\r\n"
        "BDAY:1990-02-28\r\nEND:VCARD\r\nBEGIN:VCARD\r\nVERSION:4.0\r\nFN:Bea Finch\r\nEND:VCARD\r\n"
    )
    answer = lines.take(cards, name="friends.vcf")
    assert [(row["name"], row["what"], row["about"]) for row in answer["rows"]] == [
        ("Ada Wren", "new", "no sign-up"),
        ("Bea Finch", "new", "no sign-up"),
    ]
    ada = lines.person("Ada Wren")
    assert (ada.email, ada.phone, ada.birth_year, ada.note) == ("ada@x.org", "+44 7700 900125", 1990, "left-handed")
    again = lines.take(cards, name="friends.vcf")
    assert (again["kept"], again["undo"]) == (False, 0)
    assert {row["what"] for row in again["rows"]} == {"same"}


def test_one_undo_takes_a_contact_file_back(lines: Lines, capsys: pytest.CaptureFixture[str]) -> None:
    answer = lines.take("BEGIN:VCARD\r\nVERSION:4.0\r\nFN:Bea Finch\r\nEND:VCARD\r\n", name="f.vcf")
    assert entry.run(["undo", str(answer["undo"]), "--file", str(lines.path)]) == 0
    with Studio(str(lines.path)) as studio:
        assert studio.ask(FindPeople()).total == 0


def test_a_wrongly_guessed_encoding_is_told_once_and_remembered(lines: Lines) -> None:
    def rows(name: str) -> bytes:
        return f"Name,Email\n{name},{len(name)}@x.org\n".encode("cp1250")

    lines.take(rows("Łukasz Żak"), "--encoding", "cp1250", "--as", "hall")
    assert lines.person("Łukasz").name == "Łukasz Żak"
    lines.take(rows("Świętosława Ćma"), "--as", "hall")
    assert lines.person("Świętosława").name == "Świętosława Ćma"


def test_a_column_settled_by_hand_is_remembered_for_its_source(lines: Lines) -> None:
    rows = "Wer,Was\nAda Wren,C01\n"
    lines.take(rows, "--column", "Wer=name", "--column", "Was=class", "--as", "hall")
    assert lines.seated() == ["Ada Wren"]
    lines.take("Wer,Was\nAda Wren,C01\nBea Finch,C01\n", "--as", "hall")
    assert lines.seated() == ["Ada Wren", "Bea Finch"]


def test_an_unknown_meaning_of_a_column_is_refused(lines: Lines) -> None:
    answer = lines.take("Wer\nAda\n", "--column", "Wer=shoe size")
    assert (answer["kind"], answer["field"]) == ("refused", "column")


def test_ambiguous_dates_are_asked_and_the_answer_is_remembered(lines: Lines) -> None:
    rows = "Name,Class,Date\nAda Wren,Album,03/04/2027\n"
    asked = lines.take(rows)
    assert not asked["kept"]
    (question,) = asked["ask"]
    assert question["kind"] == "date order"
    answered = f"date order:{question['about']}=month-first"
    lines.take("Name,Class,Date\nAda Wren,Album,03/13/2027\n", "--as", "people.csv", "--answer", answered)
    assert lines.take(rows, keep=False)["ask"] == []


def test_names_with_markup_and_controls_are_inert(lines: Lines, capsys: pytest.CaptureFixture[str]) -> None:
    file = lines.path.parent / "x.csv"
    file.write_bytes(b'Name,Class\n"[/b]\x1b[31mAda",C01\n')
    capsys.readouterr()
    assert entry.run(["import", str(file), "--file", str(lines.path)]) == 0
    assert "\x1b" not in capsys.readouterr().out


def test_delimiter_and_header_row_are_said_once_and_remembered(lines: Lines) -> None:
    rows = "Spring list||\nx|y|z\nAda Wren|C01|2\n"
    lines.take(rows, "--delimiter", "|", "--header-row", "2", "--column", "x=name", "--column", "y=class",
               "--column", "z=heads", "--as", "hall")  # fmt: skip
    assert lines.seated() == ["Ada Wren", "?"]
    lines.take(rows + "Bea Finch|C01|1\n", "--as", "hall")
    assert lines.seated() == ["Ada Wren", "?", "Bea Finch"]


def test_the_tab_is_said_in_letters(lines: Lines) -> None:
    lines.take("Name\tEmail\tClass\nAda; Wren\ta@x.org\tC01\n", "--delimiter", "tab")
    assert lines.seated() == ["Ada; Wren"]


@pytest.mark.parametrize("given", [("--delimiter", "x"), ("--header-row", "-3")])
def test_what_says_nothing_about_a_file_is_refused(lines: Lines, given: tuple[str, str]) -> None:
    assert lines.take("Name,Class\nAda,C01\n", *given)["kind"] == "refused"


def test_heads_that_were_said_are_remembered_until_the_file_says_others(lines: Lines) -> None:
    rows = "Id,Name,Email,Class,Seats\n7,Ada Wren,a@x.org,C01,some of us\n"
    lines.take(rows, "--heads", "2=3")
    again = lines.take(rows)
    assert (again["kept"], [row["what"] for row in again["rows"]]) == (False, ["same"])
    moved = rows.replace("\n7", "\n6,Bea Finch,b@x.org,C01,1\n7")
    assert [row["what"] for row in lines.take(moved)["rows"]] == ["new", "same"]
    changed = lines.take(moved.replace("some of us", "2"), keep=False)
    assert changed["rows"][1]["about"] == "3 heads here, 2 heads in the file"
