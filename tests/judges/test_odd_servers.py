"""Publishing to what is no calendar server, or a broken one: one plain sentence each time, and nothing half said."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import pytest

from scheduling import reaching
from scheduling.clock import FixedClock
from scheduling.errors import SchedulingError
from scheduling.publishing import Place, look_ahead, publish
from scheduling.queries.calendars import PublicObjects, ToPublish
from tests.support.builders import NOW, a_studio, class_date

pytestmark = pytest.mark.all

KIND = (
    b'<?xml version="1.0"?><D:multistatus xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav"><D:response>'
    b"<D:href>/c/</D:href><D:propstat><D:prop><D:resourcetype><D:collection/><C:calendar/></D:resourcetype></D:prop>"
    b"<D:status>HTTP/1.1 200 OK</D:status></D:propstat></D:response></D:multistatus>"
)
NOTHING = b'<?xml version="1.0"?><D:multistatus xmlns:D="DAV:"/>'
HELD = (
    b'<?xml version="1.0"?><D:multistatus xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav"><D:response>'
    b"<D:href>/c/x.ics</D:href><D:propstat><D:prop><C:calendar-data>not a calendar &#0; \xff</C:calendar-data></D:prop>"
    b"</D:propstat></D:response><D:response/></D:multistatus>"
)
Answer = tuple[int, bytes]


@contextmanager
def answering(answers: dict[str, Answer], asked: list[str]) -> Iterator[str]:
    """A server that gives these answers by method, and 405 to all else."""

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def _answer(self) -> None:
            self.rfile.read(int(self.headers.get("Content-Length") or 0))
            asked.append(self.command)
            status, body = answers.get(self.command, (405, b""))
            self.send_response(status)
            self.send_header("Content-Type", "application/xml")
            self.send_header("Content-Length", str(len(body)))
            if status in (301, 302):
                self.send_header("Location", "/c/")
            self.end_headers()
            self.wfile.write(body)

        do_PROPFIND = do_REPORT = do_PUT = do_DELETE = do_GET = _answer  # noqa: N815  as the base class has it

        def log_message(self, format: str, *arguments: Any) -> None:  # noqa: A002  as the base class has it
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/c/"
    finally:
        server.shutdown()
        server.server_close()


@pytest.fixture
def found() -> ToPublish:
    studio = a_studio(clock=FixedClock(NOW))
    for day in ("2027-03-13", "2027-03-20"):
        class_date(studio, day, title=f"Album {day}")
    return studio.ask(PublicObjects())


GOOD: dict[str, Answer] = {"PROPFIND": (207, KIND), "REPORT": (207, NOTHING), "PUT": (201, b""), "DELETE": (204, b"")}


@pytest.mark.parametrize(
    ("odd", "said"),
    [
        ({"PROPFIND": (200, b"<html>welcome</html>")}, "answered"),
        ({"PROPFIND": (207, b"<html><br>not xml")}, "answered"),
        ({"PROPFIND": (207, b"")}, "answered"),
        ({"PROPFIND": (207, b"\xff\xfe\x00")}, "answered"),
        ({"PROPFIND": (207, NOTHING)}, "is no calendar"),
        ({"PROPFIND": (404, b"")}, "no calendar at that address"),
        ({"PROPFIND": (401, b"")}, "refuses the sign-in"),
        ({"PROPFIND": (403, b"")}, "does not let ada write there"),
        ({"PROPFIND": (405, b"")}, "answered 405"),
        ({"PROPFIND": (429, b"")}, "too busy"),
        ({"PROPFIND": (500, b"oh no")}, "answered what no calendar server does"),
        ({"PROPFIND": (500, b"")}, "answered 500"),
        ({"PROPFIND": (503, b"")}, "too busy"),
        ({"PROPFIND": (301, b"")}, "broke off"),
        ({"REPORT": (500, b"")}, "answered 500"),
        ({"REPORT": (207, HELD)}, "answered"),
        ({"PUT": (403, b"")}, "does not let ada write there"),
        ({"PUT": (507, b"")}, "answered 507"),
        ({"PUT": (413, b"")}, "answered 413"),
    ],
)
def test_an_odd_answer_is_one_plain_refusal(found: ToPublish, odd: dict[str, Answer], said: str) -> None:
    asked: list[str] = []
    with answering({**GOOD, **odd}, asked) as url, pytest.raises(SchedulingError) as caught:
        publish(found, Place(url, "ada", "secret"))
    assert said in caught.value.message
    assert caught.value.hint
    assert "secret" not in str(caught.value)
    assert "<" not in str(caught.value)


@pytest.mark.parametrize("status", [409, 412])
def test_an_entry_that_is_not_taken_is_told_and_the_others_go(found: ToPublish, status: int) -> None:
    with answering({**GOOD, "PUT": (status, b"")}, []) as url:
        done = publish(found, Place(url, "ada", "secret"))
    assert (done.put, len(done.notices)) == (0, 2)


def test_looking_ahead_sends_nothing(found: ToPublish) -> None:
    asked: list[str] = []
    with answering(GOOD, asked) as url:
        ahead = look_ahead(found, Place(url, "ada", "secret"))
    assert [step.what for step in ahead.steps] == ["new", "new"]
    assert set(asked) == {"PROPFIND", "REPORT"}


def test_a_server_that_never_answers_is_given_up(found: ToPublish, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(reaching, "WAIT_SECONDS", 1)
    with socket.create_server(("127.0.0.1", 0)) as silent:
        url = f"http://127.0.0.1:{silent.getsockname()[1]}/c/"
        with pytest.raises(SchedulingError, match="cannot be reached, or broke off"):
            publish(found, Place(url, "ada", "secret"))


def test_a_name_that_nobody_has_is_told(found: ToPublish) -> None:
    with pytest.raises(SchedulingError, match="cannot be reached"):
        publish(found, Place("https://nobody.invalid/c/", "ada", "secret"))
