"""Publishing a calendar to a CalDAV collection of her own (RFC 4791): only what changed, and nothing that is not ours.

Nothing is remembered here about the server: each time the collection is asked what it holds. An object is ours when
its name says so and the entry in it has the identity that the name says; so a run that broke off is repeated safely.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import quote, unquote, urljoin, urlsplit, urlunsplit

from scheduling.errors import ConflictError, InvalidError, SchedulingError, StoreError
from scheduling.queries.calendars import PublishedEntry

if TYPE_CHECKING:
    from caldav.davclient import DAVClient

WAIT_SECONDS: Final = 30
_PREFIX: Final = "kitwright-"
_DAV, _CALDAV = "{DAV:}", "{urn:ietf:params:xml:ns:caldav}"
_ALL: Final = (
    '<?xml version="1.0" encoding="utf-8"?><C:calendar-query xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav">'
    "<D:prop><D:getetag/><C:calendar-data/></D:prop>"
    '<C:filter><C:comp-filter name="VCALENDAR"/></C:filter></C:calendar-query>'
)
_KINDS: Final = (
    '<?xml version="1.0" encoding="utf-8"?><D:propfind xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav">'
    "<D:prop><D:resourcetype/><C:supported-calendar-component-set/></D:prop></D:propfind>"
)
_AGAIN: Final = "Run it again: nothing is put twice."


@dataclass(slots=True)
class Published:
    """What a run did: entries put, left as they were, taken away; notices: what was left alone, and why."""

    put: int = 0
    same: int = 0
    removed: int = 0
    notices: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Held:
    """An object on the server: its path, mark of its state (ETag), and the lines of its entry."""

    href: str
    etag: str
    uid: str
    lines: frozenset[str]


def publish(entries: Iterable[PublishedEntry], url: str, *, user: str, password: str, calendar_uid: str) -> Published:
    """Bring the collection at `url` to hold exactly these entries of ours, beside whatever else it holds.

    calendar_uid: the identity of the calendar; entries of another calendar of hers in the same collection stay.
    password: used for this and not kept.
    Raises InvalidError: no address of a collection, or one that would send the password in the clear; StoreError: the
    server cannot be reached, refuses the sign-in, or breaks off; ConflictError: there is no calendar at the address.
    Run again after any of these: what is there already is left as it is.
    """
    collection = checked_url(url)
    with _reached(collection) as client:
        return _Run(client(user, password), collection, calendar_uid).bring(tuple(entries))


def checked_url(url: str) -> str:
    """The address of a collection, with a slash at its end; raises InvalidError for one that is none, or not safe."""
    parts = urlsplit(url.strip())
    if parts.scheme not in ("https", "http") or not parts.hostname:
        raise InvalidError(
            f"{url!r} is no address of a calendar.", hint="Copy it from your provider: https://...", field="url"
        )
    if parts.username is not None or parts.password is not None:
        raise InvalidError("The address holds a user or a password.", hint="Leave them out; give --user.", field="url")
    if parts.scheme == "http" and parts.hostname not in ("localhost", "127.0.0.1", "::1"):
        raise InvalidError("The password would travel in the clear.", hint="Use an https address.", field="url")
    path = parts.path if parts.path.endswith("/") else f"{parts.path}/"
    return urlunsplit((parts.scheme, parts.netloc, path, "", ""))


class _reached:  # noqa: N801  a context manager, used as a function
    """Opens the client, and turns what it raises into one plain sentence."""

    def __init__(self, collection: str) -> None:
        self._collection = collection
        self._client: DAVClient | None = None

    def __enter__(self) -> Any:
        def client(user: str, password: str) -> DAVClient:
            from caldav.davclient import DAVClient

            self._client = DAVClient(
                url=self._collection,
                username=user or None,
                password=password or None,
                timeout=WAIT_SECONDS,
                enable_rfc6764=False,  # the address is given; nothing is looked up
            )
            return self._client

        return client

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        if self._client is not None:
            self._client.close()
        if error is None or isinstance(error, SchedulingError):
            return
        from caldav.lib.error import AuthorizationError, DAVError
        from niquests.exceptions import RequestException

        host = urlsplit(self._collection).hostname
        if isinstance(error, AuthorizationError):
            raise StoreError(f"{host} refuses the sign-in.", hint="Check user and password.", field="user") from error
        if isinstance(error, RequestException | OSError):
            raise StoreError(
                f"{host} cannot be reached, or broke off.", hint=f"Check the address and the line. {_AGAIN}"
            ) from error
        if isinstance(error, DAVError):
            raise StoreError(f"{host} answered what no calendar server does.", hint="Check the address.") from error


class _Run:
    """One run against one collection."""

    def __init__(self, client: DAVClient, collection: str, calendar_uid: str) -> None:
        self._client = client
        self._collection = collection
        # Short, so that names stay short; another calendar of the same eight signs is another studio of one in 2**32.
        self._prefix = f"{_PREFIX}{hashlib.sha256(calendar_uid.encode()).hexdigest()[:8]}-"
        self._done = Published()

    def bring(self, entries: tuple[PublishedEntry, ...]) -> Published:
        kinds = self._kinds()
        wanted = {entry.uid: entry for entry in entries if not kinds or entry.component in kinds}
        if len(wanted) < len(entries):
            self._done.notices.append(f"The calendar takes no tasks: {len(entries) - len(wanted)} of them stay here.")
        held = list(self._held())
        ours = {one.uid: one for one in held if self._is_ours(one)}
        theirs = {one.uid for one in held if not self._is_ours(one)}
        for uid, entry in wanted.items():
            if uid in ours and entry_lines(entry.octets) <= ours[uid].lines:
                self._done.same += 1
            elif uid in theirs:
                self._done.notices.append(f"{entry.title} is there already by another hand, and was left alone.")
            else:
                self._put(entry, ours.get(uid))
        for uid in sorted(ours.keys() - {entry.uid for entry in entries}):
            self._remove(ours[uid])
        return self._done

    def _kinds(self) -> frozenset[str]:
        """The kinds of entries that the collection takes; empty when it does not say."""
        answer = self._client.request(self._collection, "PROPFIND", _KINDS, {"Depth": "0", **_XML})
        if answer.status == 404:
            raise ConflictError(
                "There is no calendar at that address.", hint="Make an empty one at your provider first.", field="url"
            )
        tree = self._tree(answer)
        if tree.find(f".//{_DAV}resourcetype/{_CALDAV}calendar") is None:
            raise ConflictError("What is at that address is no calendar.", hint="Check the address.", field="url")
        return frozenset(one.get("name", "") for one in tree.iter(f"{_CALDAV}comp"))

    def _held(self) -> Iterator[_Held]:
        answer = self._client.request(self._collection, "REPORT", _ALL, {"Depth": "1", **_XML})
        for response in self._tree(answer).iter(f"{_DAV}response"):
            href, etag, text = (
                response.findtext(path) or ""
                for path in (f"{_DAV}href", f".//{_DAV}getetag", f".//{_CALDAV}calendar-data")
            )
            lines = entry_lines(text.encode())
            uid = next((line[4:] for line in lines if line.startswith("UID:")), "")
            if uid:
                yield _Held(urlsplit(href).path, etag, uid, lines)

    def _is_ours(self, held: _Held) -> bool:
        return unquote(held.href).endswith(f"/{self._prefix}{held.uid}.ics")

    def _put(self, entry: PublishedEntry, there: _Held | None) -> None:
        headers = {"Content-Type": "text/calendar; charset=utf-8"}
        if there is None:
            headers["If-None-Match"] = "*"
        elif there.etag:
            headers["If-Match"] = there.etag
        answer = self._client.request(self._address(entry, there), "PUT", entry.octets.decode(), headers)
        if answer.status in (200, 201, 204):
            self._done.put += 1
        elif answer.status == 412:
            self._done.notices.append(f"{entry.title} was changed there meanwhile, and was left alone. {_AGAIN}")
        elif answer.status in (403, 409):
            self._done.notices.append(f"{entry.title} is not taken by the server ({answer.status}).")
        else:
            raise self._odd(answer)

    def _address(self, entry: PublishedEntry, there: _Held | None) -> str:
        if there is not None:
            return urljoin(self._collection, there.href)
        return self._collection + quote(f"{self._prefix}{entry.uid}.ics")

    def _remove(self, held: _Held) -> None:
        headers = {"If-Match": held.etag} if held.etag else {}
        answer = self._client.request(urljoin(self._collection, held.href), "DELETE", "", headers)
        if answer.status in (200, 204, 404):
            self._done.removed += 1
        elif answer.status == 412:
            self._done.notices.append(f"An entry that is gone here was changed there meanwhile, and stays. {_AGAIN}")
        else:
            raise self._odd(answer)

    def _tree(self, answer: Any) -> Any:
        if answer.status != 207 or answer.tree is None:
            raise self._odd(answer)
        return answer.tree

    def _odd(self, answer: Any) -> StoreError:
        done = f" after {self._done.put} entries" if self._done.put else ""
        return StoreError(f"The server answered {answer.status}{done}.", hint=f"Look at your provider's page. {_AGAIN}")


_XML: Final[Mapping[str, str]] = {"Content-Type": "application/xml; charset=utf-8"}
_FOLD = re.compile(r"\r?\n[ \t]")


def entry_lines(octets: bytes) -> frozenset[str]:
    """The un-folded lines of the events and tasks in a calendar object, in no order; servers put them in their own.

    Lines of an alarm are told from those of its entry by a space before them.
    """
    found, depth = set(), 0
    for line in _FOLD.sub("", octets.decode("utf-8", "replace")).splitlines():
        if line.startswith("BEGIN:") and (depth or line in ("BEGIN:VEVENT", "BEGIN:VTODO")):
            depth += 1
        if depth:
            found.add(" " * (depth - 1) + line)
        if depth and line.startswith("END:"):
            depth -= 1
    return frozenset(found)
