"""The command line: every question as text and as JSON, plain refusals, the exit statuses, nothing asked."""

from __future__ import annotations

import datetime as dt
import json
import os
import shlex
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scheduling.commands.people import ChangePerson
from scheduling.studio import Studio
from tests.support.demo_studio import demo_copy
from tui.__main__ import main
from tui.lines.answers import KINDS, VERSION, inert
from tui.lines.entry import VERBS, parser_for

HERE = Path(__file__).parents[2]
CSV = "Name,Email,Class,Date,Tickets\nVera Newling,vera@example.org,Pamphlet notebook,2027-02-18,1\n"
ICS = (
    "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//t//t//EN\r\nBEGIN:VEVENT\r\nUID:b1\r\nDTSTAMP:20270101T000000Z\r\n"
    "DTSTART:20270305T100000\r\nDTEND:20270305T110000\r\nSUMMARY:Dentist\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
)


class Line:
    """Runs the command line in this process on a demo file of its own."""

    def __init__(self, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.folder, self.file = folder, demo_copy(folder)
        self._capsys = capsys

    def __call__(self, *words: str) -> tuple[int, str, str]:
        """Status, standard output and standard error of `kitwright words... --file FILE`."""
        try:
            status = main([*words, "--file", str(self.file)])
        except SystemExit as left:
            status = int(str(left.code))
        found = self._capsys.readouterr()
        return status, found.out, found.err

    def json(self, *words: str) -> dict[str, Any]:
        status, out, err = self(*words, "--json")
        assert (status, err) == (0, ""), err or out
        found: dict[str, Any] = json.loads(out)
        return found

    def studio(self) -> Studio:
        return Studio(str(self.file))


@pytest.fixture
def line(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Line:
    (tmp_path / "in.csv").write_text(CSV)
    (tmp_path / "in.ics").write_text(ICS)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    return Line(tmp_path, capsys)


#: Words, kind of the JSON answer, and something that the text says. In this order on one file.
EXAMPLES: tuple[tuple[tuple[str, ...], str, str], ...] = (
    (("week",), "week", "Mon 1 Feb 2027"),
    (("week", "--days", "30"), "week", "go/no-go"),
    (("classes",), "classes", "C05"),
    (("classes", "--scope", "past"), "classes", "taught"),
    (("class", "show", "C10"), "class", "post-by"),
    (("roster", "C05"), "roster", "Waitlist, in join order"),
    (("attendees", "thorn"), "attendees", "Vasile Thornabout"),
    (("attendee", "show", "A04"), "attendee", "Jonquil Hathermead"),
    (("prep",), "prep", "C04"),
    (("prep", "list", "C09", "--closed"), "prep", "C09"),
    (("venue",), "venues", "Old Rope Hall"),
    (("project",), "projects", "Coptic sketchbook"),
    (("recipe",), "recipes", "first time"),
    (("recipe", "show", "again"), "recipe", "Line"),
    (("settings",), "settings", "America/New_York"),
    (("history",), "history", "Made the demo studio"),
    (("search", "lantern"), "search", "C04"),
    (("book", "C09", "Oriel Tranthorpe"), "outcome", "is booked on C09"),
    (("cancel", "B05"), "outcome", "gave up 1 head"),
    (("attendee", "add", "Nell Farrow", "--phone", "1"), "outcome", "Nell Farrow is kept as A4"),
    (("attendee", "change", "A40", "--note", "x"), "outcome", "is changed"),
    (("attendee", "retire", "A40"), "outcome", "is retired"),
    (("class", "make", "--project", "P1", "--venue", "V1", "--on", "2027-05-01", "--hours", "10-12"), "outcome",
     "is made"),
    (("class", "change", "C14", "--seats", "7"), "outcome", "is changed"),
    (("class", "move", "C14", "--on", "2027-05-02"), "outcome", "moved"),
    (("class", "again", "C06", "--on", "2027-05-20"), "outcome", "is made"),
    (("class", "cancel", "C11"), "outcome", "is called off"),
    (("class", "taught", "C01", "--back"), "outcome", "not taught yet"),
    (("prep", "add", "C09", "--title", "Ring the hall", "--minutes", "15", "--by", "2027-02-05"), "outcome",
     "to be done"),
    (("venue", "add", "New Room", "--seats", "9"), "outcome", "is kept as V05"),
    (("venue", "change", "New Room", "--cancel-terms", "14 50%, 7 100%"), "outcome", "is changed"),
    (("project", "add", "Box", "--teaching-time", "2h30"), "outcome", "is kept as P07"),
    (("recipe", "copy", "again", "--as", "quick"), "outcome", "quick is made"),
    (("settings", "change", "--town", "Vellimore"), "outcome", "are kept"),
    (("settings", "hours", "fri", "--span", "9-11", "--limit", "2h"), "outcome", "Friday is kept"),
    (("settings", "close", "2027-04-05", "--note", "away"), "outcome", "blocked"),
    (("undo",), "outcome", "Taken back"),
    (("redo",), "outcome", "Made again"),
    (("read", "in.csv"), "people", "1 person, 1 sign-up"),
    (("import", "in.csv"), "import", "Nothing is kept yet"),
    (("import", "in.csv", "--keep"), "import", "Take back with"),
    (("import", "in.ics", "--keep"), "import", "busy time"),
    (("export",), "written", "Written"),
    (("export", "private", "--to", "own.ics"), "written", "own.ics"),
    (("backup", "copy.kitwright"), "written", "A whole copy is in"),
    (("restore", "copy.kitwright"), "written", "is as in copy.kitwright again"),
)  # fmt: skip


def test_every_verb_answers_as_text(line: Line) -> None:
    for words, _kind, wanted in EXAMPLES:
        status, out, err = line(*words)
        assert (status, err) == (0, ""), (words, err, out)
        assert wanted in out, (words, out)
        assert "Traceback" not in out


def test_every_verb_answers_as_json_with_the_keys_of_its_kind(line: Line) -> None:
    for words, kind, _text in EXAMPLES:
        found = line.json(*words)
        assert found["kind"] == kind, words
        if words[0] == "read":
            continue  # its answer is a contract of its own
        assert found["version"] == VERSION
        assert set(found) == {"kind", "version", *KINDS[kind]}, words


def test_the_examples_reach_every_kind_of_question_about_classes_people_and_prep() -> None:
    tried = {words[0] for words, _, _ in EXAMPLES}
    elsewhere = {"why", "seat", "setup", "demo"}
    mine = {verb for verb, (module, _) in VERBS.items() if module in {
        "week", "bookings", "classes", "people", "prep", "shelves", "settings", "search", "files", "history", "studio",
    }}  # fmt: skip
    assert mine - tried - elsewhere == set()


def test_a_booking_by_line_is_taken_back_by_the_number_it_gives(line: Line) -> None:
    made = line.json("book", "C09", "Oriel Tranthorpe")
    assert made["refs"]["state"] == "confirmed"
    heads = line.json("roster", "C09")["class"]["heads"]
    assert line.json("undo", str(made["undo"]))["undo"] == 0
    assert line.json("roster", "C09")["class"]["heads"] == heads - 1
    assert line.json("redo")["undo"] == made["undo"]


def test_a_waiting_booking_gets_its_seat_in_its_turn(line: Line) -> None:
    waiting = [row["booking"] for row in line.json("roster", "C05")["waiting"]]
    seated = line.json("roster", "C05")["seated"][0]["booking"]
    line.json("cancel", seated)
    status, _, err = line("seat", waiting[1])
    assert status == 1
    assert "has waited longer" in err
    assert line.json("seat", waiting[0])["refs"]["state"] == "confirmed"


def test_why_says_what_binds_a_task(line: Line) -> None:
    task = line.json("prep")["tasks"][0]
    found = line.json("why", task["ref"])
    assert found["task"]["ref"] == task["ref"]
    assert found["because"]


def test_the_attendee_is_added_only_when_that_is_said_and_not_when_the_booking_is_refused(line: Line) -> None:
    assert line("book", "C09", "Nobody Known")[0] == 1
    assert line.json("book", "C09", "Nobody Known", "--new")["refs"]["state"] == "confirmed"
    before = line.json("attendees")["total"]
    line.json("class", "cancel", "C14")
    assert line("book", "C14", "Someone Other", "--new")[0] == 1
    assert line.json("attendees")["total"] == before


def test_several_heads_some_by_name(line: Line) -> None:
    line.json("book", "C09", "Oriel Tranthorpe", "--heads", "3", "--with", "Imelda Cruxley")
    seated = [row["name"] for row in line.json("roster", "C09")["seated"] if row["payer"] == "Oriel Tranthorpe"]
    assert sorted(seated) == ["", "Imelda Cruxley", "Oriel Tranthorpe"]


def test_words_that_fit_several_list_them(line: Line) -> None:
    status, out, err = line("roster", "lantern")
    assert (status, out) == (1, "")
    assert "matches several classes: C04" in err
    assert "matches" in line("book", "C09", "Tranthorpe")[2]
    assert line("roster", "18 feb")[0] == 0


def test_a_refusal_is_status_1_and_as_json_an_object_on_standard_output(line: Line) -> None:
    status, out, err = line("roster", "C77", "--json")
    assert (status, err) == (1, "")
    assert set(json.loads(out)) == {"kind", "version", *KINDS["refused"]}
    status, out, err = line("roster", "C77")
    assert (status, out) == (1, "")
    assert err == "There is no class date C77. Look it up in the classes.\n"


@pytest.mark.parametrize(
    "words",
    [("week", "--days", "0"), ("week", "--nosuch"), ("book",), ("class", "juggle", "C05"), ("nosuch",),
     ("history", "--most", "many"), ("demo", "--on", "soon"), ("read",), ("--nosuch",)],
)  # fmt: skip
def test_wrong_usage_is_status_2_with_one_line(line: Line, words: tuple[str, ...]) -> None:
    status, out, err = line(*words)
    assert (status, out) == (2, "")
    assert err.startswith("kitwright")
    assert len(err.strip().splitlines()) == 1


def test_a_fault_is_status_70_with_a_private_log_and_no_traceback_shown(
    line: Line, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_parsed: object) -> int:
        raise ZeroDivisionError("caf\udce9")

    monkeypatch.setattr("tui.lines.week.run", broken)
    status, out, err = line("week")
    assert (status, out) == (70, "")
    log = line.folder / "data" / "kitwright" / "fault.log"
    assert str(log) in err
    assert "Traceback" not in err
    assert "ZeroDivisionError" in log.read_text()
    assert log.stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("verb", sorted(VERBS))
def test_help_of_every_verb_works_and_names_the_shared_options(verb: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main([verb, "--help"])
    assert left.value.code == 0
    out = capsys.readouterr().out
    assert out.startswith(f"usage: kitwright {verb}")
    assert "--file" in out
    assert "--json" in out
    assert parser_for(verb).prog == f"kitwright {verb}"


def test_the_help_lists_every_verb_with_a_line(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["--help"])
    out = capsys.readouterr().out
    assert all(f"\n  {verb:10} {about}" in out for verb, (_, about) in VERBS.items())


NASTY = "\x1b[31mRed\x1b[0m [/] [bold]\u202egnp\u2066\x9b31m\x07"


def test_names_with_escape_and_markup_signs_are_printed_inert(line: Line) -> None:
    with line.studio() as studio:
        studio.do(ChangePerson(person_id=6, name=NASTY, phone=NASTY, note=NASTY))
    for words in (
        ("attendees", "red"),
        ("attendee", "show", "A06"),
        ("roster", "C06"),
        ("history",),
        ("search", "red"),
    ):
        for also in ((), ("--json",)):
            status, out, _ = line(*words, *also)
            assert status == 0
            assert not set(out) & set("\x1b\x9b\x07\u202e\u2066"), (words, also)
            assert "[/] [bold]" in out
    assert line.json("attendee", "show", "A06")["attendee"]["name"] == NASTY
    status, out, err = line("roster", NASTY)
    assert status == 1
    assert not set(out + err) & set("\x1b\x9b\x07\u202e\u2066")
    status, _, err = line(NASTY)
    assert status == 2
    assert "\x1b" not in err


def test_json_says_the_same_after_it_is_made_inert() -> None:
    text = json.dumps({NASTY: [NASTY]}, ensure_ascii=False)
    assert json.loads(inert(text)) == {NASTY: [NASTY]}


def test_health_notes_leave_by_no_list_and_no_json(line: Line) -> None:
    with line.studio() as studio:
        studio.do(ChangePerson(person_id=6, health_note="SECRET asthma"))
    for words in (
        ("attendees",),
        ("roster", "C06"),
        ("week",),
        ("history",),
        ("search", "tobin"),
        ("class", "show", "C06"),
    ):
        for also in ((), ("--json",)):
            assert "SECRET" not in line(*words, *also)[1]
    assert "SECRET" not in line("attendee", "show", "A06", "--json")[1]
    assert "SECRET asthma (erased after" in line("attendee", "show", "A06")[1]
    for target in ("classes", "private"):
        line("export", target, "--to", "x.ics")
        assert "SECRET" not in (line.folder / "x.ics").read_text()


def test_erasing_needs_to_be_meant(line: Line) -> None:
    assert line("attendee", "erase", "A07")[0] == 1
    found = line.json("attendee", "erase", "A07", "--for-good")
    assert found["undo"] == 0
    assert "Gannick" not in line("history")[1]


def test_days_and_hours_are_read_as_she_writes_them(line: Line) -> None:
    words = ("class", "make", "--project", "notebook", "--venue", "loft", "--on", "sat 1 may", "--on", "sun 2 may")
    line.json(*words, "--hours", "10-15:30", "--hours", "2pm-5pm", "--fee", "38.50", "--seats", "6")
    found = line.json("classes")["classes"][-1]
    assert found["sessions"] == [
        {"starts": "2027-05-01T10:00-04:00", "ends": "2027-05-01T15:30-04:00"},
        {"starts": "2027-05-02T14:00-04:00", "ends": "2027-05-02T17:00-04:00"},
    ]
    assert (found["fee"], found["seats"]) == ("38.50", 6)


def test_a_series_is_proposed_first_and_made_without_the_days_left_out(line: Line) -> None:
    words = ("class", "series", "--project", "P1", "--venue", "V3", "--on", "2027-09-01", "--hours", "18:30-20:45",
             "--every", "third thursday", "--months", "4")  # fmt: skip
    seen = line.json(*words, "--dry-run")
    assert seen["days"] == ["2027-09-16", "2027-10-21", "2027-11-18", "2027-12-16"]
    made = line.json(*words, "--skip", "2027-10-21")
    assert len(made["refs"]["class_dates"]) == 3
    assert [row["sessions"][0]["starts"] for row in line.json("classes")["classes"][-3:]] == [
        "2027-09-16T18:30-04:00", "2027-11-18T18:30-05:00", "2027-12-16T18:30-05:00",
    ]  # fmt: skip


def test_a_question_of_an_import_is_status_1_and_its_answer_settles_it(line: Line) -> None:
    (line.folder / "q.csv").write_text("Name,Email,Class,Date\nVera Newling,v@example.org,C06,03/04/2027\n")
    status, out, _ = line("import", "q.csv", "--keep", "--json")
    assert status == 1
    found = json.loads(out)
    assert (found["kept"], found["undo"]) == (False, 0)
    assert found["ask"][0]["kind"] == "date order"
    assert line("import", "q.csv", "--keep", "--answer", "date order:Date=day-first")[0] == 0


def test_set_up_makes_a_file_once_and_a_studio_without_classes_answers(line: Line) -> None:
    line.file = line.folder / "new" / "s.kitwright"
    status, _, err = line("week")
    assert status == 1
    assert "kitwright setup" in err
    made = line.json("setup", "--name", "Paper Room", "--zone", "Europe/Berlin", "--currency", "eur")
    assert made["file"] == str(line.file)
    assert line("setup", "--name", "Again", "--zone", "Europe/Berlin")[0] == 1
    week = line.json("week")
    assert [len(day["classes"]) for day in week["days"]] == [0] * 7
    assert (week["late"], week["lapses"], week["open_tasks"], week["frozen"]) == ([], [], 0, False)
    assert line.json("classes")["classes"] == line.json("prep")["tasks"] == []
    assert "No classes there" in line("classes")[1]
    assert line("export", "--to", "e.ics")[0] == 0
    assert b"BEGIN:VCALENDAR" in (line.folder / "e.ics").read_bytes()


def test_setting_up_with_what_cannot_be_leaves_no_file(line: Line) -> None:
    line.file = line.folder / "new" / "s.kitwright"
    for words in (
        ("--zone", "Mars/Olympus"),
        ("--currency", "dollars", "--zone", "UTC"),
        ("--zone", "UTC", "--name", " "),
    ):
        assert line("setup", "--name", "X", *words)[0] == 1
    assert not line.file.parent.exists() or list(line.file.parent.iterdir()) == []


def test_the_demo_is_never_made_over_another_studio(line: Line) -> None:
    line.file = line.folder / "own.kitwright"
    line.json("setup", "--name", "Mine", "--zone", "UTC")
    before = line.file.read_bytes()
    for words in ((), ("--keep",), ("--keep", "--on", "2027-02-10"), ("--make-only",)):
        status, _, err = line("demo", *words)
        assert status == 1
        assert "is not the demo" in err
    assert line.file.read_bytes() == before


def test_the_demo_goes_on_where_it_was_left_and_only_forward(line: Line) -> None:
    line.json("book", "C09", "Oriel Tranthorpe")
    heads = line.json("roster", "C09")["class"]["heads"]
    line.json("demo", "--keep", "--on", "2027-02-10")
    assert line.json("week")["today"] == "2027-02-10"
    assert line.json("roster", "C09")["class"]["heads"] == heads
    assert line("demo", "--keep", "--on", "2027-02-09")[0] == 1
    line.json("demo")
    assert line.json("roster", "C09")["class"]["heads"] == heads - 1


def test_a_file_to_write_that_cannot_be_written_is_refused_and_not_half_there(line: Line) -> None:
    (line.folder / "folder").mkdir()
    for words in (("export", "--to", "folder"), ("export", "--to", "nosuch/x/y.ics"), ("backup", "in.csv")):
        status, _, err = line(*words)
        assert status == 1, words
        assert err
    assert (line.folder / "in.csv").read_text() == CSV
    assert list((line.folder / "folder").iterdir()) == []


def test_a_backup_without_a_name_lies_beside_the_file(line: Line) -> None:
    first, second = line.json("backup")["file"], line.json("backup")["file"]
    assert first != second
    assert Path(first).parent == line.folder / "copies"


def outside(*words: str, **environ: str) -> subprocess.CompletedProcess[str]:
    """`python -m tui words...` in a process of its own, without a terminal."""
    kept = {name: value for name, value in os.environ.items() if name in ("PATH", "HOME", "LANG", "TZ")}
    return subprocess.run(
        [sys.executable, "-m", "tui", *words],
        capture_output=True, text=True, stdin=subprocess.DEVNULL, cwd=HERE, env={**kept, **environ}, check=False,
    )  # fmt: skip


def test_without_a_terminal_the_screens_say_what_to_use_instead(tmp_path: Path) -> None:
    done = outside(XDG_DATA_HOME=str(tmp_path))
    assert (done.returncode, done.stdout) == (2, "")
    assert "kitwright week" in done.stderr
    assert not any(tmp_path.rglob("*.kitwright"))


def test_a_dumb_terminal_is_told_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    from tui.lines import screens

    class Terminal:
        def isatty(self) -> bool:
            return True

    for name in ("stdin", "stdout", "stderr"):
        monkeypatch.setattr(f"tui.lines.screens.sys.{name}", Terminal())
    for term, trouble in (("dumb", True), ("", True), ("xterm-256color", False)):
        monkeypatch.setenv("TERM", term)
        assert bool(screens.terminal_trouble()) is trouble


def test_the_demo_without_a_terminal_does_the_main_job_and_asks_nothing(tmp_path: Path) -> None:
    done = outside("demo", "--file", str(tmp_path / "d.kitwright"))
    assert done.returncode == 0, done.stderr
    for wanted in ("Oriel Tranthorpe is booked on C09", "Mon 1 Feb 2027", f"Written: {tmp_path / 'classes.ics'}"):
        assert wanted in done.stdout
    assert (tmp_path / "classes.ics").read_bytes().startswith(b"BEGIN:VCALENDAR")


def test_the_file_is_the_one_named_else_that_of_the_environment_else_the_data_folders(tmp_path: Path) -> None:
    made = {
        "--file": (("--file", str(tmp_path / "a.kitwright")), {"KITWRIGHT_FILE": str(tmp_path / "b.kitwright")}),
        "KITWRIGHT_FILE": ((), {"KITWRIGHT_FILE": str(tmp_path / "b.kitwright")}),
        "data folder": ((), {"XDG_DATA_HOME": str(tmp_path)}),
    }
    for words, environ in made.values():
        done = outside("setup", "--name", "S", "--zone", "UTC", *words, **environ)
        assert done.returncode == 0, done.stderr
    found = sorted(str(path.relative_to(tmp_path)) for path in tmp_path.rglob("*.kitwright"))
    assert found == ["a.kitwright", "b.kitwright", "kitwright/studio.kitwright"]


def test_a_reader_that_has_seen_enough_is_no_fault(tmp_path: Path) -> None:
    path = demo_copy(tmp_path)
    command = f"{shlex.quote(sys.executable)} -m tui prep --closed --json --file {shlex.quote(str(path))} | head -1"
    environ = {**os.environ, "XDG_DATA_HOME": str(tmp_path)}
    done = subprocess.run(["sh", "-c", command], capture_output=True, text=True, cwd=HERE, env=environ, check=False)
    assert done.stdout == "{\n"
    assert done.stderr == ""
    assert not (tmp_path / "kitwright").exists()


def test_names_are_no_fault_in_a_terminal_that_lacks_their_letters(tmp_path: Path) -> None:
    path = demo_copy(tmp_path)
    with Studio(str(path)) as studio:
        studio.do(ChangePerson(person_id=6, name="木村 花子"))
    plain = outside("roster", "C06", "--file", str(path), PYTHONIOENCODING="ascii")
    assert plain.returncode == 0, plain.stderr
    assert "??" in plain.stdout
    kept = {**os.environ, "PYTHONIOENCODING": "ascii"}
    words = [sys.executable, "-m", "tui", "roster", "C06", "--json", "--file", str(path)]
    done = subprocess.run(words, capture_output=True, cwd=HERE, env=kept, check=True)
    assert "木村 花子" in [row["name"] for row in json.loads(done.stdout.decode("utf-8"))["seated"]]


@pytest.mark.parametrize("read", [lambda line: line.json("week"), lambda line: line.json("prep")])
def test_asking_changes_nothing_in_the_file(line: Line, read: Callable[[Line], object]) -> None:
    with line.studio() as studio:
        revision, now = studio.revision, studio.now
    read(line)
    with line.studio() as studio:
        assert (studio.revision, studio.now) == (revision, now)
        assert now.astimezone(dt.UTC) == dt.datetime(2027, 2, 1, 13, tzinfo=dt.UTC)
