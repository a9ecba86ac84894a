"""Messages by keys: drafts, the preview, files, sending through a real server with a progress line, texts, consent."""

from __future__ import annotations

import ssl
from email import message_from_bytes
from email.policy import default
from pathlib import Path

import pytest
from textual.pilot import Pilot

from scheduling.commands.messages import DraftMessages, MarkMessage, SetMail
from scheduling.queries.messages import Mail, MessageRow, Messages, Templates
from scheduling.studio import Studio
from tests.support.demo_studio import opened, typed
from tests.support.mail_server import PASSWORD, made_certificate, mail_server
from tests.support.screens import line_widths, said, screen_text
from tui.app import KitwrightApp
from tui.screens.message import MessageScreen
from tui.screens.messages import MessagesScreen
from tui.widgets.ask import Ask
from tui.widgets.rows import Rows

pytestmark = pytest.mark.all  # every key of these pages in turn; the main ones run by default elsewhere

LATER = 9


def drafted(studio: Studio) -> list[MessageRow]:
    studio.do(DraftMessages(template="reminder", class_date_id=LATER))
    return list(studio.ask(Messages(("draft",))))


async def is_sent(pilot: Pilot[int]) -> None:
    """Wait until nothing is on its way."""
    page = pilot.app.screen
    assert isinstance(page, MessagesScreen)
    for _ in range(400):
        await pilot.pause(0.02)
        if not page.is_sending:
            return
    raise AssertionError(said(pilot))


async def test_a_class_gets_one_draft_an_address_in_a_few_keys_and_one_undo_takes_them_away(studio: Studio) -> None:
    async with opened(studio, "week") as pilot:
        await pilot.press("0", "n")
        await typed(pilot, "c09")
        await pilot.press("enter")
        await typed(pilot, "remi")
        await pilot.press("enter", "enter")
        await pilot.pause()
        drafts = studio.ask(Messages())
        assert len({row.address for row in drafts}) == len(drafts) == 4
        assert "4 messages are drafted" in said(pilot)
        await pilot.press("u")
        await pilot.pause()
        assert studio.ask(Messages()) == ()


async def test_enter_shows_the_message_as_it_would_arrive(studio: Studio) -> None:
    first = drafted(studio)[0]
    async with opened(studio, "messages") as pilot:
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, MessageScreen)
        shown = screen_text(pilot.app)
        assert first.address in shown
        assert first.body.splitlines()[0] in shown
        assert "mailto:" in shown


async def test_a_draft_is_changed_and_dropped_and_undo_brings_it_back(studio: Studio) -> None:
    first = drafted(studio)[0]
    async with opened(studio, "messages") as pilot:
        await pilot.press("c", *"Hello", "ctrl+o")
        await pilot.pause()
        assert studio.ask(Messages(message_id=first.id))[0].subject.endswith("Hello")
        await pilot.press("x")
        await pilot.pause()
        assert studio.ask(Messages(message_id=first.id))[0].state == "dropped"
        await pilot.press("u")
        await pilot.pause()
        assert studio.ask(Messages(message_id=first.id))[0].state == "draft"


async def test_all_drafts_go_through_her_server_and_the_password_is_asked_once_and_nowhere_kept(
    studio: Studio, tmp_path: Path
) -> None:
    drafts = drafted(studio)
    certificate = made_certificate(tmp_path)
    with mail_server(certificate) as (server, post):
        studio.do(SetMail(mail_from="room@example.org", mail_host="localhost", mail_port=server.port, mail_user="room"))
        async with opened(studio, "messages") as pilot:
            app = pilot.app
            assert isinstance(app, KitwrightApp)
            app.mail_trust = ssl.create_default_context(cafile=str(certificate[0]))
            await pilot.press("S", "down", "enter")
            await pilot.pause()
            await typed(pilot, PASSWORD)
            assert PASSWORD not in screen_text(app)
            await pilot.press("ctrl+o")
            await is_sent(pilot)
            assert "4 of 4 sent" in said(pilot)
            assert sorted(to for (to,), _ in post.taken) == sorted(row.address for row in drafts)
            studio.do(DraftMessages(template="thanks", class_date_id=LATER))
            assert isinstance(app.screen, MessagesScreen)
            app.screen.refresh_page()
            await pilot.press("S", "enter")
            await is_sent(pilot)
            assert len(post.taken) == 5, "the password is not asked for again"
    assert PASSWORD not in "\n".join(studio._connection.iterdump())


async def test_a_wrong_password_sends_nothing_and_is_asked_for_again(studio: Studio, tmp_path: Path) -> None:
    drafts = drafted(studio)
    certificate = made_certificate(tmp_path)
    with mail_server(certificate) as (server, post):
        studio.do(SetMail(mail_from="room@example.org", mail_host="localhost", mail_port=server.port, mail_user="room"))
        async with opened(studio, "messages") as pilot:
            app = pilot.app
            assert isinstance(app, KitwrightApp)
            app.mail_trust = ssl.create_default_context(cafile=str(certificate[0]))
            await pilot.press("S", "enter", *"wrong", "ctrl+o")
            await is_sent(pilot)
            assert "refuses the sign-in" in said(pilot)
            assert app.mail_password is None
            assert post.taken == []
            assert len(studio.ask(Messages(("draft",)))) == len(drafts)


async def test_what_is_in_doubt_asks_and_is_never_sent_by_itself(studio: Studio) -> None:
    first = drafted(studio)[0]
    studio.do(MarkMessage(message_id=first.id, state="sending"))
    async with opened(studio, "messages") as pilot:
        assert "in doubt" in screen_text(pilot.app)
        assert pilot.app.screen.query_one("#messages", Rows).go_to(first.id)
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(pilot.app.screen, Ask)
        await pilot.press("down", "down", "enter")
        await pilot.pause()
        assert studio.ask(Messages(message_id=first.id))[0].state == "draft"


async def test_without_a_server_s_asks_for_it_and_e_keeps_drafts_as_files(studio: Studio, tmp_path: Path) -> None:
    first = drafted(studio)[0]
    async with opened(studio, "messages", size=(120, 40)) as pilot:
        await pilot.press("S")
        await pilot.pause()
        await pilot.press(*"me@x.org", "ctrl+o")
        await pilot.pause()
        assert studio.ask(Mail()).sender == "me@x.org"
        assert pilot.app.screen.query_one("#messages", Rows).go_to(first.id)
        await pilot.press("e", "ctrl+o")
        await pilot.pause()
        path = tmp_path / f"message-{first.id}.eml"
        mail = message_from_bytes(path.read_bytes(), policy=default)
        assert (mail["To"], mail["From"].addresses[0].addr_spec) == (first.address, "me@x.org")
        await pilot.press("e", "ctrl+o")
        await pilot.pause()
        assert "is there already" in screen_text(pilot.app), "nothing is written over"


async def test_a_text_is_edited_and_an_unknown_field_is_said_while_typing(studio: Studio) -> None:
    async with opened(studio, "messages", size=(120, 40)) as pilot:
        await pilot.press("v", *"texts", "enter")
        await pilot.pause()
        assert pilot.app.screen.query_one("#messages", Rows).go_to(("text", "thanks"))
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press(*" {nme}")
        assert "There is no field {nme}" in screen_text(pilot.app)
        await pilot.press(*["backspace"] * 5, *"{name}", "ctrl+o")
        await pilot.pause()
        assert next(one for one in studio.ask(Templates()) if one.name == "thanks").subject.endswith("{name}")


async def test_news_goes_to_those_who_said_yes_and_to_nobody_else(studio: Studio) -> None:
    async with opened(studio, "messages") as pilot:
        await pilot.press("n", "enter")
        await pilot.pause()
        yes = {
            row["email"]
            for row in studio._connection.execute(
                "SELECT email FROM person WHERE news = 'yes' AND email <> '' AND guardian_id IS NULL"
            )
        }
        assert {row.address for row in studio.ask(Messages())} == yes


@pytest.mark.parametrize("size", [(80, 24), (40, 10)])
async def test_the_messages_are_whole_at_any_size_and_tab_stays(studio: Studio, size: tuple[int, int]) -> None:
    drafted(studio)
    async with opened(studio, "messages", size=size) as pilot:
        assert line_widths(pilot.app) == {size[0]}
        focused = pilot.app.focused
        await pilot.press("tab")
        assert pilot.app.focused is focused
