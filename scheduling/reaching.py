"""The way to a CalDAV collection of her own: its address, the client, and what goes wrong there as plain sentences."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final
from urllib.parse import urlsplit, urlunsplit

from scheduling.errors import ConflictError, InvalidError, SchedulingError, StoreError

if TYPE_CHECKING:
    from caldav.davclient import DAVClient

WAIT_SECONDS: Final = 30
AGAIN: Final = "Run it again: nothing is put twice."
_FORBIDDEN: Final = 403


def checked_url(url: str) -> str:
    """The address of a collection, with a slash at its end; raises InvalidError for one that is none, or not safe."""
    try:
        parts = urlsplit(url.strip())
        is_one = parts.scheme in ("https", "http") and bool(parts.hostname) and parts.port != 0
    except ValueError:  # brackets that do not close, a port that is no number
        is_one = False
    if not is_one:
        raise InvalidError(
            f"{url!r} is no address of a calendar.", hint="Copy it from your provider: https://...", field="url"
        )
    if parts.username is not None or parts.password is not None:
        raise InvalidError(
            "The address holds a user or a password.", hint="Leave them out of it; the user has its own place.",
            field="url",
        )  # fmt: skip
    if parts.scheme == "http" and parts.hostname not in ("localhost", "127.0.0.1", "::1"):
        raise InvalidError("The password would travel in the clear.", hint="Use an https address.", field="url")
    path = parts.path if parts.path.endswith("/") else f"{parts.path}/"
    return urlunsplit((parts.scheme, parts.netloc, path, "", ""))


class reached:  # noqa: N801  a context manager, used as a function
    """Opens the client for a collection, and turns what it raises into one plain sentence.

    trust: the file with the certificates that count, where the machine's own do not.
    """

    def __init__(self, collection: str, user: str, password: str, trust: str = "") -> None:
        self._collection = collection
        self._user, self._password, self._trust = user, password, trust
        self._client: DAVClient | None = None

    def __enter__(self) -> Any:
        from caldav.davclient import DAVClient

        self._client = DAVClient(
            url=self._collection,
            username=self._user or None,
            password=self._password or None,
            timeout=WAIT_SECONDS,
            ssl_verify_cert=self._trust or True,
            enable_rfc6764=False,  # the address is given; nothing is looked up
        )
        return self._client

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        if self._client is not None:
            self._client.close()
        if error is None or isinstance(error, SchedulingError):
            return
        from caldav.lib.error import AuthorizationError, DAVError, RateLimitError
        from niquests.exceptions import RequestException, SSLError

        host = urlsplit(self._collection).hostname
        if isinstance(error, AuthorizationError):
            if getattr(error, "status", None) == _FORBIDDEN:
                raise ConflictError(
                    f"{host} does not let {self._user or 'anybody'} write there.",
                    hint="Check the address, or ask for the right to write at your provider.",
                    field="url",
                ) from error
            raise StoreError(f"{host} refuses the sign-in.", hint="Check user and password.", field="user") from error
        if isinstance(error, RateLimitError):
            raise StoreError(f"{host} is too busy just now.", hint=f"Wait some minutes. {AGAIN}") from error
        if isinstance(error, SSLError):
            raise StoreError(
                f"{host} does not prove that it is the right server: its certificate is not trusted here.",
                hint="Nothing was sent, the password neither. Check the address, or ask your provider.",
                field="url",
            ) from error
        if isinstance(error, RequestException | OSError):
            raise StoreError(
                f"{host} cannot be reached, or broke off.", hint=f"Check the address and the line. {AGAIN}"
            ) from error
        if isinstance(error, DAVError):
            raise StoreError(f"{host} answered what no calendar server does.", hint="Check the address.") from error
