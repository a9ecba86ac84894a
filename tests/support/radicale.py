"""A CalDAV server of an open standard for tests: on loopback, with a store of its own, ended with the test."""

from __future__ import annotations

import base64
import socket
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

USER, PASSWORD = "ada", "correct horse"
_CONFIG = """[server]
hosts = 127.0.0.1:{port}
{tls}[auth]
type = htpasswd
htpasswd_filename = {folder}/users
htpasswd_encryption = plain
delay = 0
[storage]
filesystem_folder = {folder}/store
[logging]
level = info
"""


@dataclass(frozen=True, slots=True)
class Server:
    """base: its address; log: what was asked of it."""

    base: str
    log: Path

    @property
    def url(self) -> str:
        return f"{self.base}/{USER}/classes/"

    def ask(self, method: str, path: str = "", body: str = "", **headers: str) -> tuple[int, str]:
        """A plain request to the collection; status and text."""
        sign_in = base64.b64encode(f"{USER}:{PASSWORD}".encode()).decode()
        sent = {"Authorization": f"Basic {sign_in}", **{key.replace("_", "-"): text for key, text in headers.items()}}
        request = urllib.request.Request(self.url + path, body.encode() or None, sent, method=method)
        try:
            trust = ssl._create_unverified_context() if self.base.startswith("https") else None
            with urllib.request.urlopen(request, timeout=10, context=trust) as answer:
                return answer.status, answer.read().decode()
        except urllib.error.HTTPError as error:
            return error.code, error.read().decode("utf-8", "replace")

    def names(self) -> list[str]:
        """The objects in the collection."""
        text = self.ask("PROPFIND", Depth="1")[1]
        hrefs = [part.partition("</href>")[0] for part in text.split("<href>")[1:]]
        return sorted(href.rpartition("/")[2] for href in hrefs if href.endswith(".ics"))

    def changes(self) -> int:
        """How many objects were put or deleted so far."""
        lines = self.log.read_text("utf-8", "replace").splitlines()
        return sum("PUT request for" in line or "DELETE request for" in line for line in lines)


@contextmanager
def serving(
    folder: Path, *, kinds: tuple[str, ...] = ("VEVENT", "VTODO"), certificate: tuple[Path, Path] | None = None
) -> Iterator[Server]:
    """A server with one empty calendar, which takes these kinds of entries; over TLS with a certificate and its key."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    tls = f"ssl = True\ncertificate = {certificate[0]}\nkey = {certificate[1]}\n" if certificate else ""
    (folder / "users").write_text(f"{USER}:{PASSWORD}\n")
    (folder / "config").write_text(_CONFIG.format(port=port, folder=folder, tls=tls))
    log = folder / "log"
    with log.open("wb") as out:
        process = subprocess.Popen(
            [sys.executable, "-m", "radicale", "--config", str(folder / "config")], stdout=out, stderr=out
        )
    server = Server(f"http{'s' if certificate else ''}://127.0.0.1:{port}", log)
    try:
        for _ in range(100):
            try:
                server.ask("OPTIONS")
                break
            except OSError:
                time.sleep(0.1)
        comps = "".join(f'<C:comp name="{kind}"/>' for kind in kinds)
        made, text = server.ask(
            "MKCALENDAR",
            body='<?xml version="1.0"?><C:mkcalendar xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav"><D:set>'
            f"<D:prop><C:supported-calendar-component-set>{comps}</C:supported-calendar-component-set></D:prop>"
            "</D:set></C:mkcalendar>",
        )
        assert made == 201, text
        yield server
    finally:
        process.terminate()
        process.wait(10)
