"""Every action that works where one is, by its plain name: from the keys that act there, and the ways of the app."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from textual.dom import DOMNode
from textual.screen import Screen

from tui.keys import Key, is_known, key_for, sign_of

if TYPE_CHECKING:
    from tui.app import KitwrightApp

#: Actions that only move about in a list or a form.
_MOVES = frozenset(
    ("row_up", "row_down", "page_up", "page_down", "first_row", "last_row", "next_entry", "entry_before", "pick")
)
_NOT_LISTED = _MOVES | {"actions", "open"}


@dataclass(frozen=True, slots=True)
class Here:
    """One action that works here.

    name: what the place calls it. sign: the keys that start it; empty for one without a key.
    run: does it.
    """

    id: str
    name: str
    about: str
    sign: str
    key: Key | None
    run: Callable[[], Any]


def keys_here(screen: Screen[Any]) -> list[Here]:
    """The actions whose keys act on `screen` now: the page's own, then those that move about, then those everywhere."""
    found: dict[str, Here] = {}
    for pressed, active in screen.active_bindings.items():
        action = active.binding.action
        if not active.enabled or not is_known(action):
            continue
        key = key_for(action)
        if action in found:
            one = found[action]
            signs = sorted({*one.sign.split(", "), sign_of(pressed)}, key=lambda sign: sign != key.sign)
            found[action] = Here(one.id, one.name, one.about, ", ".join(signs), one.key, one.run)
            continue
        label = active.binding.description
        if label.casefold() == key.label:  # also the toolkit's own word for the same
            label, about = key.label, key.about
        else:
            about = f"{label.capitalize()}: {key.about[0].lower()}{key.about[1:]}"
        found[action] = Here(action, label, about, sign_of(pressed), key, _runner(screen, action, active.node))
    return sorted(found.values(), key=_place)


def _place(here: Here) -> int:
    if here.id in _MOVES:
        return 1
    return 2 if here.key is not None and here.key.where in ("everywhere", "pages") else 0


def actions_here(app: KitwrightApp, screen: Screen[Any]) -> list[Here]:
    """What the list of all actions shows: the keys that act here, then what has a name but no key."""
    keyed = [here for here in keys_here(screen) if here.id not in _NOT_LISTED]
    named = (
        ("keep a new attendee", "The form of a new attendee.", app.new_person),
        ("make a class", "The form of a new class date.", app.new_class),
        ("venues", "Rooms with their seats and cancel terms: make, change, retire.", app.open_venues),
        ("projects", "What people make: make, change, retire.", app.open_projects),
        ("prep recipes", "The tasks that each class gets: copy, add and change lines.", app.open_recipes),
        ("better recipe minutes", "Minutes logged against planned; take what fits.", app.open_logged),
        ("what moved", "Tasks on other days than in the plan before, and why.", app.open_moved),
        ("lay the plan afresh", "As if none had been kept; asks first, pins stay.", app.lay_afresh),
        ("work in one go", "One step for several classes: what it saves, accept or part.", app.open_batches),
        ("promotions", "Early birds, bundles, hosts' places: make, change, end.", app.open_promotions),
        ("needs", "What the classes to come lack, by when it must be ordered.", lambda: app.show_stock("needs")),
        ("orders", "What to order now, and what is on its way.", lambda: app.show_stock("orders")),
        ("materials", "Sizes, packs, prices: make, change, retire.", lambda: app.show_stock("materials")),
        ("suppliers", "Lead, hour to order by, least order: make, change.", lambda: app.show_stock("suppliers")),
        ("rewards of suppliers", "What orders earn, what is missing.", lambda: app.show_stock("rewards")),
        ("stock journal", "Every movement of stock, the newest first.", lambda: app.show_stock("journal")),
        ("closed days", "Close a day or a span, or give a day back.", app.open_closed_days),
        ("change the studio", "Name, time zone, currency, sizes, spares, mail, refunds.", app.change_studio),
        ("look: light", "Ink on paper.", lambda: app.put_on("light")),
        ("look: dark", "Chalk on a dark page.", lambda: app.put_on("dark")),
        ("look: plain", "The terminal's own colours.", lambda: app.put_on("plain")),
        ("publish a calendar", "To a folder read by link, or to your provider.", app.open_publishing),
        ("put a copy in place", "A whole copy (JSON) in the place of this studio; asks first.", app.take_copy_in),
        ("import a file", "Sign-ups from a spreadsheet, busy times from a calendar; shown first.", app.open_imports),
    )
    return [*keyed, *(Here(f"way {name}", name, about, "", None, run) for name, about, run in named)]


def _runner(screen: Screen[Any], action: str, node: DOMNode) -> Callable[[], Any]:
    return lambda: screen.app.run_action(action, node)
