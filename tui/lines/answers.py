"""What `--json` prints: every answer is {"kind", "version", ...}; the keys of each kind stand in KINDS."""

from __future__ import annotations

import dataclasses
import datetime as dt
import json
import re
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from scheduling.clock import WallTime
from scheduling.errors import SchedulingError
from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.classes import ClassRow
from scheduling.queries.history import HistoryRow
from scheduling.queries.people import PersonRow
from scheduling.queries.plan import PlannedTask
from scheduling.queries.roster import RosterRow
from scheduling.studio import COMMAND_LINE

if TYPE_CHECKING:
    from scheduling.commands.request import Outcome

VERSION: Final = 1
_OBEYED: Final = re.compile("[\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ud800-\udfff]")

#: The keys of every kind of answer. Keys are only ever added; a test compares each answer with this table.
KINDS: Final[dict[str, tuple[str, ...]]] = {
    "week": (
        "now",
        "today",
        "frozen",
        "studio",
        "days",
        "late",
        "lapses",
        "order_by",
        "warnings",
        "open_tasks",
        "moved",
    ),
    "classes": ("classes",),
    "class": ("class", "project", "helpers", "final_count_day", "public_note", "private_note", "deadlines", "kits"),
    "roster": ("class", "seated", "waiting", "asking", "warnings"),
    "attendees": ("attendees", "total"),
    "attendee": ("attendee", "bookings"),
    "prep": ("tasks",),
    "why": ("task", "because", "chain", "proof", "mends"),
    "plan": (
        "now",
        "revision",
        "kept_on",
        "days",
        "classes",
        "order_by",
        "tasks",
        "moved",
        "broken_pins",
        "late_minutes",
        "kept",
    ),
    "whatif": (
        "supposed",
        "notes",
        "moved",
        "over",
        "now_late",
        "no_longer_late",
        "late",
        "minutes_before",
        "minutes_after",
        "kept",
    ),
    "better": ("proposals", "steps"),
    "together": ("proposals", "accepted"),
    "venues": ("venues",),
    "projects": ("projects",),
    "recipes": ("recipes",),
    "recipe": ("recipe", "lines"),
    "settings": ("settings", "week", "closed_days"),
    "history": ("actions",),
    "search": ("found",),
    "waitlist": ("lapsed", "open", "waiting"),
    "decisions": ("decisions",),
    "day": ("class", "before", "segments", "after", "heads", "tools", "follow_up", "warnings"),
    "car": ("lines",),
    "personal": ("person", "children", "bookings", "days", "money", "credits", "currency", "messages"),
    "messages": ("messages",),
    "templates": ("templates",),
    "saved": ("files",),
    "sent": ("sent", "failed", "in_doubt"),
    "promotions": ("currency", "promotions", "host_places"),
    "owed": (
        "currency",
        "today",
        "to_give_back",
        "to_decide",
        "to_pay",
        "credits",
        "if_called_off",
        "if_all_cancel",
        "credits_sum",
        "classes",
    ),
    "money_moved": ("currency", "from", "through", "moved", "by_method", "came_in", "went_back"),
    "cash_dates": ("currency", "today", "through", "dates", "comes_in", "goes_out"),
    "person_money": ("attendee", "name", "currency", "bookings", "credits", "gifts", "to_pay", "to_give_back"),
    "money": (
        "class",
        "currency",
        "fixed",
        "net_per_head",
        "break_even",
        "full_pay_heads",
        "at_heads",
        "income",
        "left",
        "per_hour",
        "work_minutes",
        "received",
        "held",
        "to_pay",
        "to_give_back",
        "to_credit",
        "bookings",
        "warnings",
    ),
    "receipt": (
        "paper",
        "reference",
        "day",
        "studio",
        "payer",
        "address",
        "class",
        "currency",
        "lines",
        "entries",
        "due",
        "held",
        "to_pay",
        "text",
    ),
    "proposed": ("rule", "shown", "days"),
    "needs": ("currency", "materials"),
    "need_why": ("material", "class", "because"),
    "basket": ("reward", "currency", "goods", "alone", "together"),
    "order_proposals": ("currency", "suppliers", "rewards"),
    "orders": ("currency", "orders"),
    "order": ("currency", "order", "given_up", "to_pay", "waits", "came", "rewards"),
    "stock": ("currency", "materials"),
    "journal": ("material", "movements"),
    "kit": (
        "class",
        "title",
        "day",
        "kits",
        "heads",
        "spares",
        "demo_copies",
        "begun",
        "steps",
        "notes",
        "weight_mg",
        "mailer_mg",
        "mail",
        "tools",
        "label",
        "post_by",
        "options",
        "seat_kits",
        "parcels",
        "short",
        "late_sign_ups",
        "late_limits",
        "newer_version",
        "cost",
        "cash",
        "cash_left",
    ),
    "cut": ("classes", "unit", "materials"),
    "materials": ("currency", "materials"),
    "suppliers": ("currency", "suppliers"),
    "tools": ("tools",),
    "cut_together": ("projects",),
    "rewards": ("currency", "rewards"),
    "bench": ("rules",),
    "bill": ("project", "title", "number", "lines", "tools", "measures"),
    "outcome": ("said", "warnings", "undo", "refs"),
    "written": ("said", "file", "changed"),
    "published": ("said", "put", "same", "removed", "notices"),
    "import": ("said", "file", "kept", "rows", "ask", "notices", "undo"),
    "refused": ("error", "hint", "field"),
    "fault": ("error", "log"),
}

_REFS: Final = {
    "class_date_id": "class_date",
    "person_id": "person",
    "booking_id": "booking",
    "next_booking_id": "booking",
    "old_booking_id": "booking",
    "venue_id": "venue",
    "project_id": "project",
    "recipe_id": "recipe",
    "series_id": "series",
    "task_id": "task",
    "payment_id": "payment",
    "credit_id": "credit",
    "material_id": "material",
    "supplier_id": "supplier",
    "supply_order_id": "supply_order",
    "tool_id": "tool",
    "reward_id": "reward",
    "promotion_id": "promotion",
}

_PLAIN: Final = ("late", "state", "seats_left", "freed", "choice", "consequences", "drafts")


def answer(kind: str, **entries: Any) -> str:
    """One answer as JSON text; raises KeyError when its keys are not those of the table."""
    if set(entries) != set(KINDS[kind]):
        raise KeyError(f"{kind}: {sorted(set(entries) ^ set(KINDS[kind]))}")
    ordered = {"kind": kind, "version": VERSION} | {key: plain(entries[key]) for key in KINDS[kind]}
    return inert(json.dumps(ordered, ensure_ascii=False, indent=2))


def inert(text: str) -> str:
    """JSON text with the signs escaped that a terminal would obey, or that turn the writing direction."""
    return _OBEYED.sub(lambda sign: f"\\u{ord(sign[0]):04x}", text)


def refused(error: SchedulingError) -> str:
    """A refusal as JSON text."""
    return answer("refused", error=str(error), hint=error.hint, field=error.field)


def outcome_answer(outcome: Outcome) -> str:
    """What a command did, as JSON text; `undo` is the number to take it back by, 0 when nothing changed."""
    refs: dict[str, Any] = {}
    for field in dataclasses.fields(outcome):
        value = getattr(outcome, field.name)
        if field.name in _REFS and value:
            refs[field.name.removesuffix("_id")] = ref(_REFS[field.name], value)
        elif field.name in _PLAIN or field.name.endswith("_minor"):
            refs[field.name] = value
        elif field.name in ("offered", "offers", "holds"):
            refs[field.name] = [ref("booking", number) for number in value]
        elif field.name == "class_date_ids":
            refs["class_dates"] = [ref("class_date", number) for number in value]
    return answer("outcome", said=outcome.said, warnings=outcome.warnings, undo=outcome.history_id, refs=refs)


def plain(value: Any) -> Any:
    """A value as JSON knows it: days and moments as ISO text, money as text, dataclasses as objects."""
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, WallTime):
        return value.aware.isoformat(timespec="minutes")
    if isinstance(value, dt.datetime):
        return value.isoformat(timespec="minutes")
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(item) for item in value]
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        found = {f.name: plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
        return found | ({"ref": value.ref} if hasattr(value, "ref") else {})
    return str(value)


def class_entry(row: ClassRow, currency: Currency) -> dict[str, Any]:
    """A class date in an answer."""
    return {
        "ref": row.ref,
        "title": row.title,
        "project": row.project,
        "sessions": [{"starts": session.starts, "ends": session.ends} for session in row.sessions],
        "venue": row.venue,
        "kinds": row.kinds.split(", "),
        "seats": row.seats,
        "minimum": row.minimum,
        "heads": row.heads,
        "seats_left": row.seats_left,
        "waiting": row.waiting,
        "fee": currency.from_minor(row.fee_minor),
        "currency": currency.code,
        "state": row.state,
        "taught": row.taught,
        "uid": row.public_id,
    }


def roster_entry(row: RosterRow) -> dict[str, Any]:
    """One head in an answer; health notes are never in it, only that there is one."""
    return {
        "booking": row.booking_ref,
        "state": row.state,
        "name": row.name,
        "attendee": None if row.person_id is None else ref("person", row.person_id),
        "payer": row.payer,
        "email": row.email,
        "phone": row.phone,
        "guardian": row.guardian,
        "guardian_phone": row.guardian_phone,
        "needs": row.needs,
        "has_health_note": row.has_health_note,
        "photos": row.photos,
        "mark": row.mark,
        "note": row.note,
        "address": row.address,
        "abroad": row.abroad,
        "kit": row.kit,
        "asked_again": row.ask_again,
    }


def person_entry(row: PersonRow) -> dict[str, Any]:
    """An attendee in a list."""
    return {
        "ref": row.ref,
        "name": row.name,
        "email": row.email,
        "phone": row.phone,
        "has_needs": row.has_needs,
        "is_child": row.is_child,
        "retired": row.retired,
        "coming": row.coming,
    }


def task_entry(task: PlannedTask) -> dict[str, Any]:
    """A prep task in an answer."""
    return {
        "ref": task.ref,
        "class": task.class_ref,
        "class_title": task.class_title,
        "title": task.title,
        "state": task.state,
        "standing": task.standing,
        "owed": task.owed,
        "minutes": task.minutes,
        "logged": task.logged,
        "left": task.left,
        "aim_day": task.aim_day,
        "hard_day": task.hard_day,
        "latest_start": task.latest_start,
        "slack_minutes": task.slack_minutes,
        "stretches": [{"starts": stretch.starts, "ends": stretch.ends} for stretch in task.stretches],
        "about": task.about,
        "uid": task.public_id,
    }


def history_entry(row: HistoryRow) -> dict[str, Any]:
    """One action of the history."""
    return {
        "id": row.id,
        "at": row.at,
        "by": "command line" if row.origin == COMMAND_LINE else row.origin.split()[0],
        "deed": row.kind,
        "summary": row.summary,
        "undoable": row.undoable,
        "undone": row.undone,
    }
