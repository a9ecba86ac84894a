"""The lists that the stock page shows, one at a time: stock, needs, orders, journal, materials, suppliers, rewards."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tui.cells import Column


@dataclass(frozen=True, slots=True)
class View:
    """One list: what v calls it, what it is about, its columns, and what to do where it is empty.

    keys: what the keys do in this list, where the line of keys has no room to say it.
    """

    id: str
    name: str
    about: str
    keys: str
    columns: tuple[Column, ...]
    empty: str


VIEWS: Final = (
    View(
        "stock",
        "Stock",
        "what is there and which class it is promised to",
        "c counts, g allots, w says why",
        (
            Column("Material", share=3, least=20),
            Column("On hand", 18),
            Column("Promised to", share=2, least=12),
            Column("Free", 5, align="right"),
            Column("On order", 8, align="right", drop=2),
            Column("Value", 9, align="right", drop=3),
        ),
        "No materials yet. Press n to keep the first: a paper, a board, a thread.",
    ),
    View(
        "needs",
        "Needs",
        "what the classes to come lack, and when it must be ordered",
        "w says why, n orders, g allots",
        (
            Column("", share=3, least=28),
            Column("Needed", 7, align="right"),
            Column("Short", 6, align="right"),
            Column("Packs", 5, align="right", drop=3),
            Column("Cost", 8, align="right", drop=4),
            Column("Order by", 10),
            Column("Work begins", 11, drop=2),
            Column("Now comes", 10),
        ),
        "No class to come has a bill of materials. Set the bill of a project, and its classes count here.",
    ),
    View(
        "orders",
        "Orders",
        "what to order now, and what is on its way",
        "Enter places or opens, i takes in",
        (
            Column("", share=3, least=26),
            Column("Packs", 6, align="right"),
            Column("Sum", 9, align="right"),
            Column("", share=2, least=14),
        ),
        "Nothing has to be ordered, and nothing is on its way. Press n to place an order of your own.",
    ),
    View(
        "journal",
        "Journal",
        "every movement of stock, the newest first",
        "c counts again",
        (
            Column("Day", 10),
            Column("Material", share=3, least=20),
            Column("Moved", share=2, least=18),
            Column("Why", 10),
            Column("For", 5, drop=1),
            Column("Note", share=2, least=10, drop=2),
        ),
        "Nothing has moved yet. Count what is there: press v for the stock, then c on a material.",
    ),
    View(
        "materials",
        "Materials",
        "sizes, packs, prices and where they come from",
        "n new, c changes, x retires",
        (
            Column("Material", share=3, least=20),
            Column("Size", 22),
            Column("Grain", 5),
            Column("Pack", 4, align="right"),
            Column("Price", 8, align="right"),
            Column("Supplier", share=2, least=14, drop=1),
        ),
        "No materials yet. Press n to keep the first: a paper, a board, a thread.",
    ),
    View(
        "suppliers",
        "Suppliers",
        "lead, hour to order by, least order, carriage",
        "n new, c changes, x retires",
        (
            Column("Supplier", share=3, least=20),
            Column("Lead", 16),
            Column("Before", 6),
            Column("Least", 8, align="right"),
            Column("Carriage", 8, align="right"),
            Column("Free from", 9, align="right"),
            Column("Materials", 9, align="right", drop=1),
        ),
        "No suppliers yet. Press n to keep the first: then orders have a day to go out and a day to come.",
    ),
    View(
        "rewards",
        "Rewards",
        "what orders earn, and what is missing to the next",
        "Enter tries a basket, g pools",
        (
            Column("Reward", share=3, least=18),
            Column("Supplier", share=2, least=12, drop=1),
            Column("Until", 17),
            Column("Goods", 9, align="right"),
            Column("Earned", 6, align="right"),
            Column("To next", 8, align="right"),
        ),
        "No supplier's reward is kept. Press n to keep one: what it is, what it takes, until when.",
    ),
)
VIEW: Final = {view.id: view for view in VIEWS}
