"""Messages: one a household, nobody told of another; drafts, files and links; sent once through a real server."""

from __future__ import annotations

import ssl
from collections.abc import Iterator
from email import message_from_bytes
from email.policy import default
from pathlib import Path

import pytest
from aiosmtpd.controller import Controller

from scheduling.commands.bookings import CancelBooking
from scheduling.commands.erasing import ErasePerson
from scheduling.commands.messages import ChangeDraft, DraftMessages, DraftNews, MarkMessage, SetMail, SetTemplate
from scheduling.commands.payments import TakePayment
from scheduling.errors import ConflictError, InvalidError, StoreError
from scheduling.model.messages import as_mail, filled, mailto
from scheduling.queries.messages import AsMail, Messages
from scheduling.sending import send_drafts
from tests.support.book_studio import START, BookStudio
from tests.support.mail_server import Post, made_certificate, mail_server


def families() -> tuple[BookStudio, int]:
    """A class with a mother and her two children at one address, and another attendee."""
    book = BookStudio()
    class_date = book.class_date("2027-03-06", fee=1000)
    mother = book.person("Mara Fen", email="mara@example.org")
    for name in ("Pip Fen", "Wren Fen"):
        child = book.person(name, guardian_id=mother)
        booking = book.book(class_date, child)
        book.do(TakePayment(booking_id=booking, amount_minor=400))
        book.studio._connection.execute("UPDATE booking SET payer_id = ? WHERE id = ?", (mother, booking))
    book.book(class_date, book.person("Otto Lang", email="otto@example.org", health_note="nuts", phone="555 0199"))
    return book, class_date


def test_one_message_goes_to_each_household_and_names_nobody_of_another() -> None:
    book, class_date = families()
    assert book.do(DraftMessages(template="confirmation", class_date_id=class_date)).drafts == 2
    by_address = {row.address: row for row in book.studio.ask(Messages())}
    mara, otto = by_address["mara@example.org"], by_address["otto@example.org"]
    assert "Pip Fen, Wren Fen" in mara.body
    assert "12.00 EUR" in mara.body
    assert "10.00 EUR" in otto.body
    assert not any(word in mara.body for word in ("Otto", "Lang", "otto@", "10.00"))
    assert not any(word in otto.body + otto.subject for word in ("Fen", "mara", "12.00"))
    assert "nuts" not in otto.body


def test_the_same_message_is_not_drafted_twice() -> None:
    book, class_date = families()
    book.do(DraftMessages(template="reminder", class_date_id=class_date))
    assert book.do(DraftMessages(template="reminder", class_date_id=class_date)).drafts == 0
    for row in book.studio.ask(Messages()):
        book.do(MarkMessage(message_id=row.id, state="sending"))
        book.do(MarkMessage(message_id=row.id, state="sent"))
    assert book.do(DraftMessages(template="reminder", class_date_id=class_date)).drafts == 0


def test_who_has_no_address_is_counted_for_the_telephone() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-03-06")
    book.book(class_date, book.person("Ada"))
    outcome = book.do(DraftMessages(template="thanks", class_date_id=class_date))
    assert outcome.drafts == 0
    assert "telephone" in outcome.warnings[0]


def test_news_goes_only_to_a_yes() -> None:
    book = BookStudio()
    book.person("Yes", email="yes@example.org", news="yes")
    book.person("No", email="no@example.org", news="no")
    book.person("Unknown", email="unknown@example.org")
    assert book.do(DraftNews()).drafts == 1
    assert [row.address for row in book.studio.ask(Messages())] == ["yes@example.org"]
    class_date = book.class_date("2027-03-06")
    with pytest.raises(ConflictError):
        book.do(DraftMessages(template="news", class_date_id=class_date))


def test_her_own_wording_is_used_and_an_unknown_field_is_refused() -> None:
    book, class_date = families()
    book.do(SetTemplate(name="thanks", subject="Well made, {name}", body="See you.\n{studio}"))
    book.do(DraftMessages(template="thanks", class_date_id=class_date))
    assert {row.subject for row in book.studio.ask(Messages())} == {"Well made, Mara Fen", "Well made, Otto Lang"}
    with pytest.raises(InvalidError) as refused:
        book.do(SetTemplate(name="thanks", subject="x", body="{nonsense}"))
    assert refused.value.field == "body"


def test_what_is_filled_in_is_never_read_as_a_field() -> None:
    assert filled("{name}", {"name": "{class}", "class": "secret"}) == "{class}"


def test_a_name_cannot_slip_a_header_into_the_mail() -> None:
    mail = as_mail(
        sender="me@example.org",
        sender_name="Room\r\nBcc: all@example.org",
        address="a@example.org",
        subject="Hello\r\nBcc: all@example.org",
        body="Grüße\n",
        public_id="1",
        moment=START,
    )
    read = message_from_bytes(mail.as_bytes(), policy=default)
    assert read["Bcc"] is None
    assert read["To"] == "a@example.org"
    assert read.get_content().strip() == "Grüße"
    with pytest.raises(InvalidError):
        as_mail(
            sender="me@example.org",
            sender_name="",
            address="a@x\r\nBcc: b",
            subject="",
            body="",
            public_id="1",
            moment=START,
        )


def test_a_link_for_her_own_mail_program_keeps_line_ends_and_signs() -> None:
    link = mailto("a+b@example.org", "50 % & more?", "One\nTwo")
    assert link == "mailto:a+b@example.org?subject=50%20%25%20%26%20more%3F&body=One%0D%0ATwo"


def test_a_waiting_attendee_with_an_offer_reads_until_when() -> None:
    from scheduling.commands.offers import OfferSeats

    book = BookStudio()
    class_date = book.class_date("2027-03-06", seats=1)
    seated = book.book(class_date, book.person("Ada"))
    book.book(class_date, book.person("Bo", email="bo@example.org"))
    book.do(CancelBooking(booking_id=seated))
    book.do(OfferSeats(class_date_id=class_date))
    book.do(DraftMessages(template="offer", class_date_id=class_date, audience="offered"))
    assert "until Tue 5 Jan, 09:00" in book.studio.ask(Messages())[0].body


def test_erasing_a_person_takes_their_messages_and_payment_words_too() -> None:
    book = BookStudio()
    class_date = book.class_date("2027-01-05")
    ada = book.person("Ada Brook", email="ada@example.org")
    booking = book.book(class_date, ada)
    book.do(TakePayment(booking_id=booking, reference="Brook, Mill Lane"))
    book.do(DraftMessages(template="thanks", class_date_id=class_date))
    book.on("2027-02-05T12:00")
    book.do(ErasePerson(person_id=ada))
    kept = "\n".join(book.studio._connection.iterdump())
    for word in ("Brook", "Mill Lane", "ada@example.org"):
        assert word not in kept
    assert book.money(class_date, booking).held == 7200


@pytest.fixture(scope="module")
def certificate(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    return made_certificate(tmp_path_factory.mktemp("tls"))


@pytest.fixture
def server(certificate: tuple[Path, Path]) -> Iterator[tuple[Controller, Post]]:
    with mail_server(certificate) as running:
        yield running


def ready(server: Controller, certificate: tuple[Path, Path]) -> tuple[BookStudio, list[int], ssl.SSLContext]:
    """A studio with two drafts and its mail settings on that server."""
    book, class_date = families()
    book.do(
        SetMail(
            mail_from="room@example.org", mail_host="localhost", mail_port=server.port, mail_user="room@example.org"
        )
    )
    book.do(DraftMessages(template="reminder", class_date_id=class_date))
    drafts = sorted(row.id for row in book.studio.ask(Messages()))
    return book, drafts, ssl.create_default_context(cafile=str(certificate[0]))


def test_drafts_go_through_a_real_server_one_address_each_and_are_logged(
    server: tuple[Controller, Post], certificate: tuple[Path, Path]
) -> None:
    book, drafts, trust = ready(server[0], certificate)
    sent = send_drafts(book.studio, drafts, "open sesame", trust=trust)
    assert sent.sent == tuple(drafts)
    assert [to for to, _ in server[1].taken] == [("mara@example.org",), ("otto@example.org",)]
    assert all(mail["To"] and mail["Cc"] is None and mail["Bcc"] is None for _, mail in server[1].taken)
    assert {row.state for row in book.studio.ask(Messages(states=("sent",)))} == {"sent"}
    again = send_drafts(book.studio, drafts, "open sesame", trust=trust)
    assert (again.sent, len(server[1].taken)) == ((), 2)


def test_a_refused_address_is_kept_with_what_the_server_said_and_the_rest_goes(
    server: tuple[Controller, Post], certificate: tuple[Path, Path]
) -> None:
    book, drafts, trust = ready(server[0], certificate)
    server[1].refused = "mara@example.org"
    sent = send_drafts(book.studio, drafts, "open sesame", trust=trust)
    assert (sent.sent, [number for number, _ in sent.failed]) == ((drafts[1],), [drafts[0]])
    (failed,) = book.studio.ask(Messages(states=("failed",)))
    assert "nobody of that name" in failed.trouble


def test_a_message_in_flight_when_all_stops_is_in_doubt_and_never_sent_again_by_itself(
    server: tuple[Controller, Post], certificate: tuple[Path, Path]
) -> None:
    book, drafts, trust = ready(server[0], certificate)
    server[1].breaks_after_taking = True
    with pytest.raises(StoreError):
        send_drafts(book.studio, drafts, "open sesame", trust=trust)
    server[1].breaks_after_taking = False
    sent = send_drafts(book.studio, drafts, "open sesame", trust=trust)
    assert sent.in_doubt == (drafts[0],)
    assert sent.sent == (drafts[1],)
    assert [to for to, _ in server[1].taken] == [("mara@example.org",), ("otto@example.org",)]
    book.do(MarkMessage(message_id=drafts[0], state="sent"))
    with pytest.raises(ConflictError):
        book.do(MarkMessage(message_id=drafts[0], state="sending"))


def test_a_wrong_password_or_an_unknown_certificate_sends_nothing(
    server: tuple[Controller, Post], certificate: tuple[Path, Path]
) -> None:
    book, drafts, trust = ready(server[0], certificate)
    with pytest.raises(StoreError, match="sign-in"):
        send_drafts(book.studio, drafts, "guess", trust=trust)
    with pytest.raises(StoreError, match="safe way"):
        send_drafts(book.studio, drafts, "open sesame")
    assert server[1].taken == []
    assert {row.state for row in book.studio.ask(Messages())} == {"draft"}


def test_a_dropped_draft_is_not_sent() -> None:
    book, class_date = families()
    book.do(SetMail(mail_from="room@example.org"))
    book.do(DraftMessages(template="reminder", class_date_id=class_date))
    row = book.studio.ask(Messages())[0]
    assert book.studio.ask(AsMail(row.id))["From"].addresses[0].addr_spec == "room@example.org"
    book.do(ChangeDraft(message_id=row.id, drop=True))
    with pytest.raises(ConflictError):
        book.do(MarkMessage(message_id=row.id, state="sending"))
