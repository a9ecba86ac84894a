"""A mail server on this machine for tests: it takes mail only under TLS and after a sign-in."""

from __future__ import annotations

import shutil
import socket
import ssl
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes
from email.policy import default
from pathlib import Path
from typing import Any

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult, LoginPassword

PASSWORD = "open sesame"


class Post:
    """What a mail server took, and which addresses it refuses."""

    def __init__(self) -> None:
        self.taken: list[Any] = []
        self.refused = ""
        self.breaks_after_taking = False

    async def handle_RCPT(self, server: Any, session: Any, envelope: Any, address: str, options: Any) -> str:  # noqa: N802
        if address == self.refused:
            return "550 nobody of that name"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:  # noqa: N802  the server's own name
        self.taken.append((tuple(envelope.rcpt_tos), message_from_bytes(envelope.content, policy=default)))
        if self.breaks_after_taking:
            server.transport.close()
        return "250 taken"


def _signs_in(server: Any, session: Any, envelope: Any, mechanism: str, given: Any) -> AuthResult:
    fits = isinstance(given, LoginPassword) and given.password == PASSWORD.encode()
    return AuthResult(success=fits, handled=False)


def made_certificate(folder: Path) -> tuple[Path, Path]:
    """A certificate and its key for this machine alone, made for this run."""
    if shutil.which("openssl") is None:
        pytest.skip("openssl makes the certificate of the test's mail server")
    names = ["-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost,IP:127.0.0.1"]
    kind = ["-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2"]
    out = ["-keyout", str(folder / "key.pem"), "-out", str(folder / "cert.pem")]
    command = ["openssl", "req", "-x509", *kind, *names, *out]
    subprocess.run(command, check=True, capture_output=True)
    return folder / "cert.pem", folder / "key.pem"


@contextmanager
def mail_server(certificate: tuple[Path, Path]) -> Iterator[tuple[Controller, Post]]:
    """The server while it runs, and what it took."""
    trust = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    trust.load_cert_chain(*certificate)
    post = Post()
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    controller = Controller(
        post,
        hostname="127.0.0.1",
        port=port,
        tls_context=trust,
        require_starttls=True,
        authenticator=_signs_in,
        auth_required=True,
    )
    controller.start()
    try:
        yield controller, post
    finally:
        controller.stop()
