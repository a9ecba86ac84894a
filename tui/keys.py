"""The one table of keys: every action of the program, what it is called and where it applies."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from textual.binding import Binding, BindingType

#: Keys that a terminal swallows, or cannot tell from another key (ctrl+i is Tab, ctrl+m is Enter, and so on).
UNSAFE_KEYS: Final = frozenset(f"ctrl+{sign}" for sign in "ijmhsqzc") | {"ctrl+left_square_bracket", "ctrl+slash"}

#: Places in the order in which the help screen lists them, with the heading each has there.
PLACES: Final = {
    "everywhere": "Everywhere",
    "pages": "Going to a page",
    "lists": "In a list",
    "classes": "With classes and bookings",
    "money": "With money and messages",
    "prep": "With prep and kits",
    "entries": "In a form",
}


@dataclass(frozen=True, slots=True)
class Key:
    """One action and the keys that start it.

    action: the method is `action_<action>` on the screen, widget or app that binds it.
    keys: Textual's names, the first is the one on show.
    label: one or two words for the line of keys.
    where: a name out of PLACES.
    shown: whether the line of keys at the foot of the screen names it.
    about: one sentence for the help screen and the list of all actions.
    """

    action: str
    keys: tuple[str, ...]
    label: str
    where: str
    shown: bool
    about: str

    @property
    def sign(self) -> str:
        """The first key as it is written on the screen."""
        return sign_of(self.keys[0])


TABLE: Final[tuple[Key, ...]] = (
    Key("help", ("question_mark", "f1"), "help", "everywhere", True, "Show what every key does here."),
    Key("actions", ("full_stop", "ctrl+p"), "all actions", "everywhere", True, "Find any action by its plain name."),
    Key("search", ("s",), "search", "everywhere", True, "Search attendees, classes, prep and materials from anywhere."),
    Key("undo", ("u",), "undo", "everywhere", True, "Take back the latest change, after saying what it was."),
    Key("redo", ("r",), "redo", "everywhere", False, "Do again what was just taken back."),
    Key("why", ("w",), "why", "everywhere", False, "Show how the date or number under the cursor came about."),
    Key(
        "step_back",
        ("escape", "backspace"),
        "back",
        "everywhere",
        True,
        "Step back; asks first if you typed something.",
    ),
    Key("quit", ("q",), "quit", "everywhere", False, "Leave the program; every change is kept already."),
    Key("go_week", ("1",), "this week", "pages", True, "Go to this week: what is due, how full the days are."),
    Key("go_classes", ("2",), "classes", "pages", True, "Go to the list of class dates."),
    Key("go_attendees", ("3",), "attendees", "pages", True, "Go to the list of attendees."),
    Key("go_prep", ("4",), "prep", "pages", True, "Go to the prep tasks of all classes."),
    Key("go_history", ("5",), "history", "pages", True, "Go to the history of every change."),
    Key("go_settings", ("6",), "settings", "pages", True, "Go to the settings of the studio."),
    Key("go_money", ("7",), "money", "pages", True, "Go to the money: who owes, what is held, what would go back."),
    Key("go_stock", ("8",), "stock", "pages", True, "Go to the stock: what is there, what is short, what to order."),
    Key("go_ahead", ("9",), "weeks ahead", "pages", True, "Go to the weeks ahead: how full they are, and each class."),
    Key("go_messages", ("0",), "messages", "pages", True, "Go to the messages: drafts, what was sent, the texts."),
    Key(
        "open", ("enter",), "open", "lists", True, "Open the row under the cursor; in a form, go on to the next entry."
    ),
    Key("find", ("f", "slash"), "find", "lists", True, "Type to narrow this list; Esc shows all rows again."),
    Key("view", ("v",), "view", "lists", True, "Choose the order of this list and which rows it shows."),
    Key("new", ("n",), "new", "lists", True, "Make a new one of what this page lists."),
    Key("change", ("c",), "change", "lists", True, "Change what is under the cursor."),
    Key("cancel", ("x",), "cancel", "lists", True, "Cancel or retire what is under the cursor; asks first."),
    Key("row_up", ("up",), "up", "lists", False, "Go one row up."),
    Key("row_down", ("down",), "down", "lists", False, "Go one row down."),
    Key("page_up", ("pageup",), "page up", "lists", False, "Go one screenful up."),
    Key("page_down", ("pagedown",), "page down", "lists", False, "Go one screenful down."),
    Key("first_row", ("home",), "first", "lists", False, "Go to the first row."),
    Key("last_row", ("end",), "last", "lists", False, "Go to the last row."),
    Key(
        "book",
        ("b",),
        "book",
        "classes",
        True,
        "Book an attendee into the class under the cursor, or into one you pick.",
    ),
    Key(
        "give_seat",
        ("g",),
        "give seat",
        "classes",
        True,
        "Offer a free seat in join order, keep the answer, settle what lapsed.",
    ),
    Key("again", ("a",), "run again", "classes", True, "Offer the class anew on another date."),
    Key(
        "move_date",
        ("d",),
        "move date",
        "classes",
        False,
        "Move the class to another date and ask each booking; give an order another day.",
    ),
    Key(
        "export",
        ("e",),
        "export",
        "classes",
        True,
        "Write a file: a calendar, a list, the whole studio; publish a calendar; a receipt where money is.",
    ),
    Key(
        "take_in",
        ("i",),
        "import",
        "classes",
        False,
        "Read sign-ups or busy times from a file, shown first; take in the goods of an order.",
    ),
    Key("the_day", ("h",), "the day", "classes", False, "Go to the day of the class: who is here, run sheet, tools."),
    Key("sign_out", ("j",), "sign out", "classes", True, "Sign the head under the cursor out; a child with whom."),
    Key("decide", ("D",), "decide", "classes", False, "Decide whether the class runs, with what each answer means."),
    Key("transfer", ("T",), "transfer", "classes", False, "Give a booking to another person or to another date."),
    Key("ledger", ("o",), "ledger", "money", False, "Open the ledger of the class: what comes in, what it costs."),
    Key("pay", ("P",), "pay", "money", True, "Take a payment for the booking under the cursor."),
    Key("refund", ("R",), "refund", "money", True, "Pay money back, by the terms that the booking was made with."),
    Key("message", ("M",), "message", "money", False, "Draft a message to the person, the class or those who wait."),
    Key("send", ("S",), "send", "money", True, "Send drafts through your own mail server; asks first."),
    Key("kits", ("k",), "kits", "prep", False, "Open the kits of the class: what each holds, cut plans, packing."),
    Key("tick", ("t",), "tick", "prep", True, "Tick the task off as done, or take the tick away."),
    Key(
        "log_minutes",
        ("m",),
        "minutes",
        "prep",
        True,
        "Log the minutes that the task really took; on recipes, see what was logged.",
    ),
    Key("lay", ("l",), "pin", "prep", True, "Pin the work to a day and time of your own, or let the plan lay it."),
    Key("sooner", ("less_than_sign",), "sooner", "prep", False, "Pin the work a day sooner than it lies."),
    Key("later", ("greater_than_sign",), "later", "prep", False, "Pin the work a day later than it lies."),
    Key("together", ("B",), "in one go", "prep", False, "Show work of several classes that is worth doing in one go."),
    Key("suppose", ("y",), "what if", "prep", False, "Suppose a change and see what it does, before it is kept."),
    Key("keep", ("ctrl+o",), "keep", "entries", True, "Keep what the form says, from any entry."),
    Key("next_entry", ("tab",), "next", "entries", False, "Go to the next entry or part of the page."),
    Key("entry_before", ("shift+tab",), "before", "entries", False, "Go to the entry or part before."),
    Key("pick", ("space",), "pick", "entries", False, "Pick the answer under the cursor."),
)

_BY_ACTION: Final = {key.action: key for key in TABLE}

_SIGNS: Final = {
    "question_mark": "?", "full_stop": ".", "slash": "/", "escape": "Esc", "enter": "Enter", "tab": "Tab",
    "space": "Space", "backspace": "Backspace", "pageup": "PgUp", "pagedown": "PgDn", "home": "Home", "end": "End",
    "less_than_sign": "<", "greater_than_sign": ">",
    "up": "Up", "down": "Down", "left": "Left", "right": "Right",
}  # fmt: skip


def key_for(action: str) -> Key:
    """The table's row for `action`; raises KeyError for an action that the table does not have."""
    return _BY_ACTION[action]


def is_known(action: str) -> bool:
    """Whether the table has a row for `action`."""
    return action in _BY_ACTION


def sign_of(key: str) -> str:
    """A Textual key name as people write it: `ctrl+o` is `Ctrl+O`, `question_mark` is `?`."""
    *held, last = key.split("+")
    shown = _SIGNS.get(last, last.upper() if held or (last.startswith("f") and last[1:].isdigit()) else last)
    return "+".join([part.capitalize() for part in held] + [shown])


def no_such_key(key: str) -> str:
    """What to answer to a key that starts nothing where one is."""
    label = next((one.label for one in TABLE if key in one.keys), "")
    named = f"{sign_of(key)} ({label})" if label else sign_of(key)
    return f"{named} does nothing here. {key_for('help').sign} shows the keys of this page."


def bindings(*actions: str, **labels: str) -> list[BindingType]:
    """Textual bindings for `actions`, most important first: the line of keys drops from the end.

    labels: another label for an action where the page has a better word, as in `cancel="retire"`.
    """
    return [
        Binding(",".join(key.keys), key.action, labels.get(key.action, key.label), show=key.shown, tooltip=key.about)
        for key in map(key_for, (*actions, *(name for name in labels if name not in actions)))
    ]


def by_place() -> Iterator[tuple[str, list[Key]]]:
    """Heading and keys of every place, in the order of PLACES: what the help screen shows."""
    for place, heading in PLACES.items():
        yield heading, [key for key in TABLE if key.where == place]
