"""Publishing a calendar to a CalDAV collection of her own (RFC 4791): only what changed, and nothing that is not ours.

Nothing is remembered here about the server: each time the collection is asked what it holds. An object is ours when
its name says so and the entry in it has the identity that the name says; so a run that broke off is repeated safely.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final, Literal
from urllib.parse import quote, unquote, urlsplit, urlunsplit

from scheduling.calendar.texts import clean_line, unescape_text
from scheduling.errors import ConflictError, StoreError
from scheduling.queries.calendars import PublishedEntry, ToPublish
from scheduling.reaching import AGAIN, checked_url, reached

if TYPE_CHECKING:
    from caldav.davclient import DAVClient

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
What = Literal["new", "changed", "taken back"]
EachStep = Callable[[int, int], bool]
"""Called after each step with how many of how many are done; False stops before the next."""


@dataclass(frozen=True, slots=True)
class Place:
    """A collection: its address and who signs in there. The password is used for one run and kept nowhere.

    trust: a file of certificates that count instead of the machine's own; empty for those.
    """

    url: str
    user: str = ""
    password: str = field(default="", repr=False)
    trust: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing that a run would send; day: the day of the entry, None where it has none."""

    what: What
    title: str
    day: dt.date | None


@dataclass(frozen=True, slots=True)
class Ahead:
    """What a run would do: its steps by day, how many entries are there already, and what is left alone and why."""

    steps: tuple[Step, ...]
    same: int
    notices: tuple[str, ...]


@dataclass(slots=True)
class Published:
    """What a run did: entries put, left as they were, taken away; notices: what was left alone, and why.

    left: steps that were not done because the run was stopped.
    """

    put: int = 0
    same: int = 0
    removed: int = 0
    left: int = 0
    notices: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Held:
    """An object on the server: its path, mark of its state (ETag), and the lines of its entry."""

    href: str
    etag: str
    uid: str
    lines: frozenset[str]


@dataclass(frozen=True, slots=True)
class _Task:
    """A step with what it takes: the entry to put, over what is there; or what is there, to be taken away."""

    step: Step
    entry: PublishedEntry | None
    there: _Held | None


def publish(entries: ToPublish, place: Place, *, each: EachStep | None = None) -> Published:
    """Bring the collection to hold exactly these entries of ours, beside whatever else it holds.

    Entries of another calendar of hers in the same collection stay.
    Raises InvalidError: no address of a collection, or one that would send the password in the clear; StoreError: the
    server cannot be reached, refuses the sign-in, shows a certificate that is not trusted, or breaks off;
    ConflictError: there is no calendar at the address, or she may not write there.
    Run again after any of these: what is there already is left as it is.
    """
    collection = checked_url(place.url)
    done = Published()
    try:
        with reached(collection, place.user, place.password, place.trust) as client:
            run = _Run(client, collection, entries.uid)
            done = run.done
            return run.bring(run.tasks(entries.entries), each)
    except StoreError as error:
        if not done.put + done.removed:
            raise
        before = f"Before that: {done.put} sent, {done.removed} taken away."
        raise StoreError(f"{error.message} {before}", hint=error.hint, field=error.field) from error


def look_ahead(entries: ToPublish, place: Place) -> Ahead:
    """What `publish` would do now; asks the collection and changes nothing. Raises as `publish` does."""
    collection = checked_url(place.url)
    with reached(collection, place.user, place.password, place.trust) as client:
        run = _Run(client, collection, entries.uid)
        steps = [task.step for task in run.tasks(entries.entries)]
        return Ahead(tuple(sorted(steps, key=_order)), run.done.same, tuple(run.done.notices))


def file_ahead(new: bytes, before: bytes) -> Ahead:
    """What writing the calendar `new` over the file `before` changes for those who read it."""
    now, was = _objects(new), _objects(before)
    steps = []
    for uid, lines in now.items():
        if lines == was.get(uid):
            continue
        if "STATUS:CANCELLED" in lines and "STATUS:CANCELLED" not in was.get(uid, ()):
            steps.append(Step("taken back", *_facts(lines)))
        else:
            steps.append(Step("changed" if uid in was else "new", *_facts(lines)))
    gone = [Step("taken back", *_facts(was[uid])) for uid in was.keys() - now.keys()]
    return Ahead(tuple(sorted([*steps, *gone], key=_order)), len(now) - len(steps), ())


def _order(step: Step) -> tuple[dt.date, str, str]:
    return step.day or dt.date.max, step.title, step.what


class _Run:
    """One run against one collection."""

    def __init__(self, client: DAVClient, collection: str, calendar_uid: str) -> None:
        self._client = client
        self._collection = collection
        # Short, so that names stay short; another calendar of the same eight signs is another studio of one in 2**32.
        self._prefix = f"{_PREFIX}{hashlib.sha256(calendar_uid.encode()).hexdigest()[:8]}-"
        self.done = Published()

    def tasks(self, entries: Iterable[PublishedEntry]) -> list[_Task]:
        """What there is to do, worked out from what the collection holds now."""
        entries = tuple(entries)
        kinds = self._kinds()
        wanted = {entry.uid: entry for entry in entries if not kinds or entry.component in kinds}
        if len(wanted) < len(entries):
            self.done.notices.append(f"The calendar takes no tasks: {len(entries) - len(wanted)} of them stay here.")
        held = list(self._held())
        ours = {one.uid: one for one in held if self._is_ours(one)}
        theirs = {one.uid for one in held if not self._is_ours(one)}
        found: list[_Task] = []
        for uid, entry in wanted.items():
            lines = entry_lines(entry.octets)
            if uid in ours and lines <= ours[uid].lines:
                self.done.same += 1
            elif uid in theirs:
                self.done.notices.append(f"{entry.title} is there already by another hand, and was left alone.")
            else:
                what: What = "changed" if uid in ours else "new"
                found.append(_Task(Step(what, entry.title, _facts(lines)[1]), entry, ours.get(uid)))
        gone = [ours[uid] for uid in sorted(ours.keys() - {entry.uid for entry in entries})]
        return [*found, *(_Task(Step("taken back", *_facts(held.lines)), None, held) for held in gone)]

    def bring(self, tasks: list[_Task], each: EachStep | None) -> Published:
        for number, task in enumerate(tasks, 1):
            if task.entry is not None:
                self._put(task.entry, task.there)
            elif task.there is not None:
                self._remove(task.there)
            if each is not None and not each(number, len(tasks)):
                self.done.left = len(tasks) - number
                break
        return self.done

    def _kinds(self) -> frozenset[str]:
        """The kinds of entries that the collection takes; empty when it does not say."""
        answer = self._ask(self._collection, "PROPFIND", _KINDS, {"Depth": "0", **_XML})
        if answer.status == 404:
            raise ConflictError(
                "There is no calendar at that address.", hint="Make an empty one at your provider first.", field="url"
            )
        tree = self._tree(answer)
        if tree.find(f".//{_DAV}resourcetype/{_CALDAV}calendar") is None:
            raise ConflictError("What is at that address is no calendar.", hint="Check the address.", field="url")
        return frozenset(one.get("name", "") for one in tree.iter(f"{_CALDAV}comp"))

    def _held(self) -> Iterator[_Held]:
        answer = self._ask(self._collection, "REPORT", _ALL, {"Depth": "1", **_XML})
        for response in self._tree(answer).iter(f"{_DAV}response"):
            href, etag, text = (
                response.findtext(path) or ""
                for path in (f"{_DAV}href", f".//{_DAV}getetag", f".//{_CALDAV}calendar-data")
            )
            lines = entry_lines(text.encode())
            uid = next((line[4:] for line in lines if line.startswith("UID:")), "")
            with suppress(ValueError):  # an address that is none
                path = urlsplit(href).path
                if uid:
                    yield _Held(path, etag, uid, lines)

    def _is_ours(self, held: _Held) -> bool:
        return unquote(held.href).endswith(f"/{self._prefix}{held.uid}.ics")

    def _put(self, entry: PublishedEntry, there: _Held | None) -> None:
        headers = {"Content-Type": "text/calendar; charset=utf-8"}
        if there is None:
            headers["If-None-Match"] = "*"
        elif there.etag:
            headers["If-Match"] = there.etag
        answer = self._ask(self._address(entry, there), "PUT", entry.octets.decode(), headers)
        if answer.status in (200, 201, 204):
            self.done.put += 1
        elif answer.status == 412:
            self.done.notices.append(f"{entry.title} was changed there meanwhile, and was left alone. {AGAIN}")
        elif answer.status in (403, 409):
            self.done.notices.append(f"{entry.title} is not taken by the server ({answer.status}).")
        else:
            raise self._odd(answer)

    def _address(self, entry: PublishedEntry, there: _Held | None) -> str:
        if there is not None:
            return self._at(there.href)
        return self._collection + quote(f"{self._prefix}{entry.uid}.ics")

    def _at(self, path: str) -> str:
        """A path on the server of the collection, and on no other."""
        return urlunsplit((*urlsplit(self._collection)[:2], path, "", ""))

    def _remove(self, held: _Held) -> None:
        headers = {"If-Match": held.etag} if held.etag else {}
        answer = self._ask(self._at(held.href), "DELETE", "", headers)
        if answer.status in (200, 204, 404):
            self.done.removed += 1
        elif answer.status == 412:
            self.done.notices.append(f"An entry that is gone here was changed there meanwhile, and stays. {AGAIN}")
        else:
            raise self._odd(answer)

    def _ask(self, url: str, method: str, body: str, headers: Mapping[str, str]) -> Any:
        from caldav.lib.error import DAVError
        from niquests.exceptions import RequestException

        try:
            return self._client.request(url, method, body, headers)
        except (DAVError, RequestException, OSError):
            raise  # told as what they are by `reached`
        except Exception as error:
            host = urlsplit(self._collection).hostname
            raise StoreError(f"{host} answered what no calendar server does.", hint="Check the address.") from error

    def _tree(self, answer: Any) -> Any:
        if answer.status != 207 or answer.tree is None:
            raise self._odd(answer)
        return answer.tree

    def _odd(self, answer: Any) -> StoreError:
        if answer.status in (429, 503):
            return StoreError("The server is too busy just now.", hint=f"Wait some minutes. {AGAIN}")
        return StoreError(f"The server answered {answer.status}.", hint=f"Look at your provider's page. {AGAIN}")


_XML: Final[Mapping[str, str]] = {"Content-Type": "application/xml; charset=utf-8"}
_FOLD = re.compile(r"\r?\n[ \t]")


def entry_lines(octets: bytes) -> frozenset[str]:
    """The un-folded lines of the events and tasks in a calendar object, in no order; servers put them in their own.

    Lines of an alarm are told from those of its entry by a space before them.
    """
    found, depth = set(), 0
    for line in _FOLD.sub("", octets.decode("utf-8", "replace")).replace("\r\n", "\n").split("\n"):
        if line.startswith("BEGIN:") and (depth or line in ("BEGIN:VEVENT", "BEGIN:VTODO")):
            depth += 1
        if depth:
            found.add(" " * (depth - 1) + line)
        if depth and line.startswith("END:"):
            depth -= 1
    return frozenset(found)


def _objects(octets: bytes) -> dict[str, frozenset[str]]:
    """The entries of a whole calendar by UID, each as `entry_lines` gives them."""
    found: dict[str, frozenset[str]] = {}
    for kind in (b"VEVENT", b"VTODO"):
        for part in octets.split(b"\r\nBEGIN:" + kind + b"\r\n")[1:]:
            body = part.partition(b"\r\nEND:" + kind + b"\r\n")[0]
            lines = entry_lines(b"BEGIN:" + kind + b"\r\n" + body + b"\r\nEND:" + kind + b"\r\n")
            found[next((line for line in lines if line.startswith("UID:")), "")] = lines
    return found


def _facts(lines: Iterable[str]) -> tuple[str, dt.date | None]:
    """The title of an entry and its day, as its lines say them."""
    title, day = "", None
    for line in lines:
        name, _, value = line.partition(":")
        if name == "SUMMARY":
            title = clean_line(unescape_text(value))
        elif name.partition(";")[0] in ("DTSTART", "DUE"):
            text = line.rpartition(":")[2]
            try:
                day = dt.date(int(text[:4]), int(text[4:6]), int(text[6:8]))
            except ValueError:
                day = None
    return title or "Without a title", day
