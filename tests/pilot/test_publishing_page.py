"""Publishing on the screen, by keys, to a real CalDAV server and to a folder: shown first, sent only then."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from scheduling.calendars_out import link_in
from scheduling.commands.classes import ChangeClassDate
from scheduling.commands.decisions import Decide
from scheduling.commands.publishing import KeepCollection
from scheduling.queries.publishing import Collection
from scheduling.studio import Studio
from tests.support.demo_studio import opened, typed
from tests.support.mail_server import made_certificate
from tests.support.radicale import PASSWORD, USER, Server, serving
from tests.support.screens import said, screen_text, until
from tui.app import KitwrightApp
from tui.screens.publishing import PublishScreen
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all  # a server is started for most of them


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    folder = tmp_path / "server"
    folder.mkdir()
    with serving(folder) as found:
        yield found


def words(pilot: Pilot[int]) -> str:
    """What is on the screen, in one line."""
    return " ".join(screen_text(pilot.app).replace("│", " ").split())


def rests(pilot: Pilot[int]) -> bool:
    """Whether the page is on show, with nothing under way and the last word said."""
    page = pilot.app.screen
    return isinstance(page, PublishScreen) and not page._job and not page.says.text.startswith("Working")


async def settled(pilot: Pilot[int]) -> None:
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    if isinstance(pilot.app.screen, PublishScreen):
        await until(pilot, lambda: rests(pilot))


async def choose(pilot: Pilot[int], downs: int) -> None:
    """From any page by e to the form of the place, for one of the answers."""
    await pilot.press("e", "up", "enter")
    await pilot.pause()
    assert "cannot be taken back" in words(pilot)
    await pilot.press(*["down"] * downs, "enter")
    await pilot.pause()


async def look_at(pilot: Pilot[int], url: str, user: str = USER, password: str = PASSWORD) -> None:
    """Fill the form of a collection in, and see what would change."""
    await typed(pilot, url)
    await pilot.press("enter")
    await typed(pilot, user)
    await pilot.press("enter")
    await typed(pilot, password)
    await pilot.pause()
    assert not password or password not in screen_text(pilot.app)
    await pilot.press("ctrl+o")
    if url.startswith("http://calendar"):
        await until(pilot, lambda: "in the clear" in words(pilot))
    else:
        await until(pilot, lambda: rests(pilot) and bool(said(pilot)))


async def sends(pilot: Pilot[int]) -> None:
    await pilot.press("ctrl+o")
    await until(pilot, lambda: "cannot be taken back" in words(pilot))
    await pilot.press("enter")
    await until(pilot, lambda: rests(pilot) and said(pilot).startswith(("Done", "Not done")))


async def test_what_would_change_is_shown_and_only_then_sent_and_again_changes_nothing(
    studio: Studio, server: Server
) -> None:
    async with opened(studio, "week") as pilot:
        await choose(pilot, 1)
        await look_at(pilot, server.url)
        assert "13 new, 0 as they are" in words(pilot)
        assert "Nothing is sent yet" in said(pilot)
        assert server.names() == []
        await sends(pilot)
        assert "13 sent, 0 taken away, 0 as they were" in said(pilot)
        assert "to undo" not in said(pilot)
        assert len(server.names()) == 13
        assert studio.ask(Collection()).url == server.url
        before = server.changes()
        await pilot.press("c", "down", "enter")
        await pilot.pause()
        assert server.url in words(pilot), "the address is remembered, the password is not"
        await pilot.press("enter", "enter")
        await typed(pilot, PASSWORD)
        await pilot.press("ctrl+o")
        await settled(pilot)
        assert "Nothing is to be sent" in said(pilot)
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert "nothing to send" in said(pilot)
        assert server.changes() == before
        page = pilot.app.screen
        assert isinstance(page, PublishScreen)
        assert page._wanted is not None
    assert PASSWORD not in "\n".join(studio._connection.iterdump())
    for file in Path(studio.path).parent.glob("demo.kitwright*"):
        assert PASSWORD.encode() not in file.read_bytes()


async def test_changed_and_taken_back_are_named_before_they_go(studio: Studio, server: Server) -> None:
    async with opened(studio, "week") as pilot:
        await choose(pilot, 1)
        await look_at(pilot, server.url)
        await sends(pilot)
        studio.do(ChangeClassDate(class_date_id=9, title="Quiet mill"))
        studio.do(Decide(class_date_id=6, choice="call off"))
        studio.do(ChangeClassDate(class_date_id=7, private_party=True))
        page = pilot.app.screen
        assert isinstance(page, PublishScreen)
        page._look(place(server))
        await settled(pilot)
        text = words(pilot)
        assert "2 changed, 1 taken back" in text
        assert "Quiet mill" in text
        await sends(pilot)
        assert "2 sent, 1 taken away" in said(pilot)
        assert "STATUS:CANCELLED" in server.ask("GET")[1]
        assert len(server.names()) == 12


def place(server: Server) -> Any:
    from tui.publish_ways import WantedPlace

    return WantedPlace("classes", server.url, USER, password=PASSWORD)


async def test_a_wrong_password_a_missing_collection_and_no_network_are_plain_and_send_nothing(
    studio: Studio, server: Server
) -> None:
    async with opened(studio, "week") as pilot:
        await choose(pilot, 1)
        await look_at(pilot, server.url, password="wrong")
        assert "Not done: 127.0.0.1 refuses the sign-in." in said(pilot)
        for url, words_of_it in (
            (f"{server.base}/{USER}/none/", "There is no calendar at that address."),
            (f"{server.base}/somebody/classes/", "does not let ada write there"),
            ("http://127.0.0.1:9/x/", "cannot be reached"),
        ):
            await pilot.press("c", "down", "enter")
            await pilot.pause()
            await pilot.press(*["backspace"] * 80)
            await typed(pilot, url)
            await pilot.press("enter", "enter")
            await typed(pilot, PASSWORD)
            await pilot.press("ctrl+o")
            await settled(pilot)
            assert words_of_it in said(pilot), url
            await pilot.press("ctrl+o")
            await pilot.pause()
            assert "See first what would change" in said(pilot), "nothing is left that could be sent"
    assert server.names() == []
    assert studio.ask(Collection()).url == ""


async def test_what_is_wrong_in_the_form_is_said_at_its_entry(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await choose(pilot, 1)
        await look_at(pilot, "http://calendar.example.org/ada/")
        assert "The password would travel in the clear." in words(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert "What you typed is not kept yet." in words(pilot)


async def test_a_certificate_that_is_not_trusted_stops_it_before_the_password_goes(
    studio: Studio, tmp_path: Path
) -> None:
    folder = tmp_path / "tls"
    folder.mkdir()
    certificate = made_certificate(folder)
    with serving(folder, certificate=certificate) as server:
        async with opened(studio, "week") as pilot:
            await choose(pilot, 1)
            await look_at(pilot, server.url)
            assert "its certificate is not trusted here" in said(pilot)
            assert "the password neither" in said(pilot)
            assert isinstance(pilot.app, KitwrightApp)
            pilot.app.collection_trust = str(certificate[0])
            await pilot.press("c", "down", "enter")
            await pilot.pause()
            await pilot.press("enter", "enter")
            await typed(pilot, PASSWORD)
            await pilot.press("ctrl+o")
            await settled(pilot)
            assert "13 new" in words(pilot)


async def test_escape_stops_it_after_the_entry_on_its_way_and_the_rest_follows(
    studio: Studio, server: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    from caldav.davclient import DAVClient

    two_are_there, go_on = threading.Event(), threading.Event()
    real, sent = DAVClient.request, [0]

    def slow(self: Any, url: str, method: str = "GET", body: Any = "", headers: Any = None) -> Any:
        answer = real(self, url, method, body, headers)
        if method == "PUT":
            sent[0] += 1
            if sent[0] == 2:
                two_are_there.set()
                assert go_on.wait(20)
        return answer

    monkeypatch.setattr(DAVClient, "request", slow)
    async with opened(studio, "week") as pilot:
        await choose(pilot, 1)
        await look_at(pilot, server.url)
        await pilot.press("ctrl+o")
        await until(pilot, lambda: "cannot be taken back" in words(pilot))
        await pilot.press("enter")
        await until(pilot, two_are_there.is_set)
        await until(pilot, lambda: "1 of 13" in said(pilot))
        await pilot.press("escape")
        await pilot.pause()
        assert "Stopping" in said(pilot)
        assert isinstance(pilot.app.screen, PublishScreen), "the page stays until it has stopped"
        go_on.set()
        await until(pilot, lambda: "sent" in said(pilot))
        assert "2 sent" in said(pilot)
        assert "Stopped with 11 still to send" in said(pilot)
        assert len(server.names()) == 2
        page = pilot.app.screen
        page._look(place(server))
        await settled(pilot)
        assert "11 new, 2 as they are" in words(pilot)
        await sends(pilot)
        assert len(server.names()) == 13


async def test_a_line_that_breaks_is_told_and_publishing_again_sends_the_rest_once(
    studio: Studio, server: Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    from caldav.davclient import DAVClient

    real, sent = DAVClient.request, [0]

    def breaking(self: Any, url: str, method: str = "GET", body: Any = "", headers: Any = None) -> Any:
        answer = real(self, url, method, body, headers)
        sent[0] += method == "PUT"
        if method == "PUT" and sent[0] == 3:
            raise ConnectionResetError
        return answer

    monkeypatch.setattr(DAVClient, "request", breaking)
    async with opened(studio, "week") as pilot:
        await choose(pilot, 1)
        await look_at(pilot, server.url)
        await sends(pilot)
        assert "broke off" in said(pilot)
        assert "nothing is put twice" in said(pilot)
        page = pilot.app.screen
        assert isinstance(page, PublishScreen)
        page._look(place(server))
        await settled(pilot)
        assert "10 new, 3 as they are" in words(pilot)
        await sends(pilot)
        assert "10 sent, 0 taken away, 3 as they were" in said(pilot)
        assert len(server.names()) == 13


async def test_a_change_made_meanwhile_is_looked_at_before_anything_is_sent(studio: Studio, server: Server) -> None:
    async with opened(studio, "week") as pilot:
        await choose(pilot, 1)
        await look_at(pilot, server.url)
        studio.do(ChangeClassDate(class_date_id=9, title="Quiet mill"))
        await pilot.press("ctrl+o")
        await settled(pilot)
        assert server.names() == []
        assert "Quiet mill" in words(pilot)


async def test_her_own_calendar_is_never_offered_the_place_of_the_one_for_anyone(
    studio: Studio, server: Server
) -> None:
    studio.do(KeepCollection(url="https://dav.example.org/public/", user="ada"))
    async with opened(studio, "week") as pilot:
        await choose(pilot, 2)
        assert "dav.example.org" not in words(pilot)
        assert "you alone read" in words(pilot)
        await look_at(pilot, server.url)
        await sends(pilot)
        assert "Your own calendar" in said(pilot)
    assert studio.ask(Collection("private")).url == server.url
    assert studio.ask(Collection()).url == "https://dav.example.org/public/"
    assert "BEGIN:VTODO" in server.ask("GET")[1]


async def test_a_folder_gets_the_file_with_its_link_and_says_what_changed_the_next_time(
    studio: Studio, tmp_path: Path
) -> None:
    target = tmp_path / "classes.ics"
    async with opened(studio, "week") as pilot:
        await choose(pilot, 0)
        await pilot.press("enter")
        await typed(pilot, "https://example.org/classes.ics")
        await pilot.press("ctrl+o")
        await settled(pilot)
        assert "13 new" in words(pilot)
        assert not target.exists()
        await sends(pilot)
        assert "classes.ics" in said(pilot)
        assert link_in(target.read_bytes()) == "https://example.org/classes.ics"
        studio.do(Decide(class_date_id=6, choice="call off"))
        await pilot.press("c", "enter")
        await pilot.pause()
        assert "https://example.org/classes.ics" in words(pilot)
        await pilot.press("ctrl+o")
        await settled(pilot)
        assert "1 taken back, 12 as they are" in words(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert not isinstance(pilot.app.screen, PublishScreen)
        assert b"STATUS:CANCELLED" not in target.read_bytes()
        await pilot.press("e", "enter")  # the plain writing of the same file keeps its link
        await settled(pilot)
    assert link_in(target.read_bytes()) == "https://example.org/classes.ics"
    assert b"STATUS:CANCELLED" in target.read_bytes()


async def test_it_is_among_all_actions(studio: Studio) -> None:
    async with opened(studio, "settings") as pilot:
        await pilot.press("full_stop")
        await typed(pilot, "publish")
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, PublishScreen) or "Which calendar goes where?" in words(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen.query_one(Rows).cursor_id is None


async def test_the_whole_studio_goes_out_and_comes_in_again_after_a_question(studio: Studio, tmp_path: Path) -> None:
    path = tmp_path / "demo.json"
    async with opened(studio, "week") as pilot:
        await pilot.press("e", "up", "up", "enter")
        await settled(pilot)
        assert "demo.json" in said(pilot)
        assert path.stat().st_mode & 0o777 == 0o600
        studio.do(ChangeClassDate(class_date_id=9, title="Quiet mill"))
        await pilot.press("full_stop")
        await typed(pilot, "put a copy")
        await pilot.press("enter")
        await pilot.pause()
        await typed(pilot, "demo.js")
        await pilot.press("enter")
        await pilot.pause()
        assert "has no history" in words(pilot)
        await pilot.press("enter")  # the studio is left as it is
        await settled(pilot)
        assert title_of(studio) == "Quiet mill"
        await pilot.press("full_stop")
        await typed(pilot, "put a copy")
        await pilot.press("enter")
        await pilot.pause()
        await typed(pilot, "demo.js")
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("down", "enter")
        await settled(pilot)
        assert "The studio is as in demo.json." in said(pilot)
        assert title_of(studio) != "Quiet mill"
        await pilot.press("2", "1")
        await pilot.pause()
        assert "This week" in words(pilot)


def title_of(studio: Studio) -> str:
    return str(studio._connection.execute("SELECT title FROM class_date WHERE id = 9").fetchone()[0])
