"""Publishing to a real CalDAV server: only what changed, nothing that is not ours, safely repeated."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from scheduling.clock import FixedClock
from scheduling.commands.classes import ChangeClassDate
from scheduling.commands.decisions import Decide
from scheduling.commands.undoing import Undo
from scheduling.errors import ConflictError, StoreError
from scheduling.publishing import Place, Published, publish
from scheduling.queries.calendars import PrivateEntries, PrivateObjects, PublicObjects, ToPublish
from scheduling.studio import Studio
from tests.support.builders import NOW, a_studio, book, class_date, person
from tests.support.radicale import PASSWORD, USER, Server, serving
from tui.lines import entry

pytestmark = pytest.mark.all

THEIRS = (
    "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//EN\r\nBEGIN:VEVENT\r\nUID:{uid}\r\nDTSTAMP:20270101T090000Z\r\n"
    "DTSTART:20270301T090000Z\r\nDTEND:20270301T100000Z\r\nSUMMARY:Dentist\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
)


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    folder = tmp_path / "server"
    folder.mkdir()
    with serving(folder) as found:
        yield found


@pytest.fixture
def studio() -> Studio:
    studio = a_studio(clock=FixedClock(NOW))
    for day in ("2027-03-13", "2027-03-20", "2027-04-03"):
        class_date(studio, day, title=f"Album {day}")
    return studio


def put(server: Server, found: ToPublish, **other: Any) -> Published:
    return publish(found, Place(**{"url": server.url, "user": USER, "password": PASSWORD, **other}))


def counts(done: Published) -> tuple[int, int, int]:
    return done.put, done.same, done.removed


def test_a_second_run_puts_nothing_and_a_change_puts_that_alone(server: Server, studio: Studio) -> None:
    assert counts(put(server, studio.ask(PublicObjects()))) == (3, 0, 0)
    before = server.changes()
    assert counts(put(server, studio.ask(PublicObjects()))) == (0, 3, 0)
    assert server.changes() == before
    studio.do(ChangeClassDate(class_date_id=2, title="Lantern"))
    assert counts(put(server, studio.ask(PublicObjects()))) == (1, 2, 0)
    assert server.changes() == before + 1
    studio.do(Decide(class_date_id=1, choice="call off"))
    assert counts(put(server, studio.ask(PublicObjects()))) == (1, 2, 0)
    assert "STATUS:CANCELLED" in server.ask("GET")[1]


def test_the_private_calendar_goes_with_tasks_deadlines_and_blocks(server: Server, studio: Studio) -> None:
    found = studio.ask(PrivateObjects(PrivateEntries(blocks=True)))
    assert len({one.uid for one in found.entries}) == len(found.entries)
    assert {one.component for one in found.entries} == {"VEVENT", "VTODO"}
    assert counts(put(server, found)) == (len(found.entries), 0, 0)
    assert counts(put(server, studio.ask(PrivateObjects(PrivateEntries(blocks=True))))) == (0, len(found.entries), 0)
    fewer = studio.ask(PrivateObjects())
    done = put(server, fewer)
    assert counts(done) == (0, len(fewer.entries), len(found.entries) - len(fewer.entries))


def test_what_is_not_ours_stays_whatever_it_is_called(server: Server, studio: Studio) -> None:
    for name, uid in (("dentist.ics", "dentist"), ("kitwright-12345678-x.ics", "x"), ("kitwright-y.ics", "z")):
        assert server.ask("PUT", name, THEIRS.format(uid=uid))[0] == 201
    put(server, studio.ask(PublicObjects()))
    assert len(server.names()) == 6
    nothing = replace(studio.ask(PublicObjects()), entries=())
    assert counts(put(server, nothing)) == (0, 0, 3)
    assert server.names() == ["dentist.ics", "kitwright-12345678-x.ics", "kitwright-y.ics"]


def test_two_calendars_of_hers_live_in_one_collection(server: Server, studio: Studio) -> None:
    own = studio.ask(PrivateObjects(PrivateEntries(prep=False)))
    deadlines = replace(own, entries=tuple(one for one in own.entries if one.title.startswith("Sign-up")))
    put(server, studio.ask(PublicObjects()))
    put(server, deadlines)
    assert len(server.names()) == 6
    assert counts(put(server, studio.ask(PublicObjects()))) == (0, 3, 0)


def test_an_entry_there_by_another_hand_is_left_alone_and_told(server: Server, studio: Studio) -> None:
    found = studio.ask(PublicObjects())
    assert server.ask("PUT", "by-hand.ics", THEIRS.format(uid=found.entries[0].uid))[0] == 201
    done = put(server, found)
    assert counts(done) == (2, 0, 0)
    assert len(done.notices) == 1
    assert found.entries[0].title in done.notices[0]
    assert "Dentist" in server.ask("GET", "by-hand.ics")[1]


def test_what_was_moved_on_the_phone_is_put_right_again(server: Server, studio: Studio) -> None:
    put(server, studio.ask(PublicObjects()))
    name = server.names()[0]
    text = server.ask("GET", name)[1]
    moved = text.replace("SUMMARY:Album", "SUMMARY:Moved album")
    assert server.ask("PUT", name, moved)[0] == 204
    assert counts(put(server, studio.ask(PublicObjects()))) == (1, 2, 0)
    assert "Moved" not in server.ask("GET")[1]


def test_a_run_that_breaks_off_is_finished_by_the_next(
    server: Server, studio: Studio, monkeypatch: pytest.MonkeyPatch
) -> None:
    from caldav.davclient import DAVClient

    sent: list[str] = []
    real = DAVClient.request

    def breaking(self: Any, url: str, method: str = "GET", body: Any = "", headers: Any = None) -> Any:
        answer = real(self, url, method, body, headers)
        sent.append(method)
        if sent.count("PUT") == 2:  # the server has it, and the line breaks before it can say so
            raise ConnectionResetError
        return answer

    monkeypatch.setattr(DAVClient, "request", breaking)
    with pytest.raises(StoreError, match="broke off") as caught:
        put(server, studio.ask(PublicObjects()))
    assert "Before that: 1 sent, 0 taken away." in caught.value.message
    assert "nothing is put twice" in caught.value.hint
    monkeypatch.setattr(DAVClient, "request", real)
    assert counts(put(server, studio.ask(PublicObjects()))) == (1, 2, 0)
    assert len(server.names()) == 3


def test_a_class_taken_back_goes_from_the_server_too(server: Server, studio: Studio) -> None:
    put(server, studio.ask(PublicObjects()))
    studio.do(Undo())
    assert counts(put(server, studio.ask(PublicObjects()))) == (0, 2, 1)


def test_a_calendar_that_takes_no_tasks_gets_the_events(tmp_path: Path, studio: Studio) -> None:
    folder = tmp_path / "events"
    folder.mkdir()
    with serving(folder, kinds=("VEVENT",)) as server:
        found = studio.ask(PrivateObjects())
        done = put(server, found)
        assert done.put == sum(one.component == "VEVENT" for one in found.entries)
        assert "takes no tasks" in done.notices[0]


def test_titles_of_any_script_come_back_the_same(server: Server, studio: Studio) -> None:
    studio.do(ChangeClassDate(class_date_id=1, title="Štítky, 本; “x” \\ 🧶 " + "long " * 18))
    put(server, studio.ask(PublicObjects()))
    assert counts(put(server, studio.ask(PublicObjects()))) == (0, 3, 0)


def test_a_wrong_password_a_missing_calendar_and_no_server_are_told_apart(server: Server, studio: Studio) -> None:
    found = studio.ask(PublicObjects())
    with pytest.raises(StoreError, match="refuses the sign-in"):
        put(server, found, password="wrong")
    for path in ("/ada/none/", "/ada/"):
        with pytest.raises(ConflictError, match="no calendar"):
            put(server, found, url=server.base + path)
    with pytest.raises(StoreError, match="cannot be reached"):
        put(server, found, url="http://127.0.0.1:9/x/")


def test_the_address_is_remembered_and_the_password_never(
    server: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        book(studio, class_date(studio), person(studio, "Ada Wren"))
    monkeypatch.setenv("KITWRIGHT_CALDAV_PASSWORD", PASSWORD)
    first = ["publish", "collection", server.url, "--user", USER, "--file", str(path), "--json"]
    assert entry.run(first) == 0
    assert json.loads(capsys.readouterr().out)["put"] == 1
    assert entry.run(["publish", "collection", "--file", str(path), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert (answer["put"], answer["same"], answer["notices"]) == (0, 1, [])
    assert entry.run(["copy-out", str(tmp_path / "s.json"), "--file", str(path)]) == 0
    for file in tmp_path.glob("s.*"):
        assert PASSWORD.encode() not in file.read_bytes()
    assert "Wren" not in server.ask("GET")[1]
    monkeypatch.delenv("KITWRIGHT_CALDAV_PASSWORD")
    capsys.readouterr()
    assert entry.run(["publish", "collection", "--file", str(path), "--json"]) == 1
    assert json.loads(capsys.readouterr().out)["field"] == "password"
