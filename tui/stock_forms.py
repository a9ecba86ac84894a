"""The short forms of stock: count by hand, allot to a class."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from scheduling.amounts import read_count
from scheduling.commands.request import Outcome
from scheduling.commands.stock import AllotStock, CountStock
from scheduling.model.materials import Form as Comes
from scheduling.queries.needs import NeedRow
from scheduling.queries.search import Search
from scheduling.queries.stock import Allotments, StockRow
from scheduling.typed_stock import (
    begun_lengths_text,
    off_cuts_text,
    read_begun_lengths,
    read_new_count,
    read_off_cuts,
)
from scheduling.words import show_day
from tui import stock_words
from tui.screens.studio_page import StudioPage
from tui.widgets.choice_field import Choice, ChoiceField
from tui.widgets.field import Field, TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.lookup_field import LookupField

REASONS = (
    Choice("counted", "counted: the number was wrong"),
    Choice("waste", "waste: spoilt, torn, miscut"),
    Choice("given away", "given away or sold"),
    Choice("left over", "left over: a class brought it back"),
)
_MOST_CLASSES = 20


def class_choices(page: StudioPage, typed: str) -> Sequence[Choice]:
    """Class dates that match what is typed."""
    if not typed.strip():
        return ()
    found = page.studio.ask(Search(typed, _MOST_CLASSES))
    return [Choice(row.id, f"{row.ref} {row.title}, {row.about}") for row in found if row.kind == "class"]


def count_stock(page: StudioPage, row: StockRow) -> None:
    """Ask what is on hand of a material now, and why it differs."""
    material, holding, unit = row.material, row.holding, page.kitwright.facts.units
    by_length = material.form in (Comes.ROLL, Comes.REEL)

    def keep(values: Mapping[str, Any]) -> Outcome:
        entries: dict[str, Any] = {}
        whole = read_new_count(values["whole"], holding.whole).value
        if whole != holding.whole:
            entries["whole"] = whole
        if by_length and values["lengths"] != begun:
            entries["lengths"] = read_begun_lengths(values["lengths"], unit).value
        if material.form is Comes.SHEET and values["off_cuts"] != cut:
            entries["off_cuts"] = read_off_cuts(values["off_cuts"], unit).value
        note = values["note"] or str(values["reason"])
        return page.studio.do(
            CountStock(
                material_id=material.id,
                reason=values["reason"],
                class_date_id=values["class_date_id"],
                note=note,
                **entries,
            )
        )

    begun, cut = begun_lengths_text(holding.lengths, unit), off_cuts_text(holding.off_cuts, unit)
    fields: list[Field] = [
        TextField(
            "whole", f"Unbegun {material.form.value}s" if by_length else "On hand", value=str(holding.whole),
            entry_cells=12, read=lambda typed: read_new_count(typed, holding.whole).shown,
            hint="how many; or -2 for what went, +3 for what came",
        ),
    ]  # fmt: skip
    if by_length:
        fields.append(
            TextField(
                "lengths", "Begun, left on each", value=begun, is_needed=False,
                read=lambda typed: read_begun_lengths(typed, unit).shown, hint="lengths, such as 25 yd; 4 m",
            )
        )  # fmt: skip
    if material.form is Comes.SHEET:
        fields.append(
            TextField(
                "off_cuts", "Off-cuts", value=cut, is_needed=False,
                read=lambda typed: read_off_cuts(typed, unit).shown,
                hint="along the grain first, such as 12 x 9 = 3; 20 x 5 3/8",
            )
        )  # fmt: skip
    fields += [
        ChoiceField("reason", "Why", REASONS, value="counted"),
        LookupField(
            "class_date_id", "For class", lambda typed: class_choices(page, typed), is_needed=False,
            hint="only where it went for one, or came back from one",
        ),
        TextField("note", "Note", is_needed=False, hint="such as two torn, found in the drawer"),
    ]  # fmt: skip
    title = f"{row.ref} {material.name}" + (f", {material.size}" if material.size else "")
    page.kitwright.push_screen(FormSheet(Form(*fields, title=title), keep), page.was_kept)


def allot_stock(page: StudioPage, row: StockRow, need: NeedRow | None, class_id: int | None = None) -> None:
    """Ask how much of what is on hand is kept for which class, whatever the order of the need days."""
    material = row.material
    if need is None or not need.classes:
        page.says.note(f"No class to come needs {material.name}.")
        return
    kept = dict(page.studio.ask(Allotments(material.id)))
    first = class_id or need.classes[0].class_id
    by_number = material.form in (Comes.EACH, Comes.SHEET)
    alone = {one.class_id: one.need.alone for one in need.classes}

    def meaning(typed: str) -> str:
        number = read_count(typed, field="amount").value
        if not number:
            return "nothing is kept by hand; the class whose work begins first comes first"
        return f"{number} kept" if by_number else "the class cuts first"

    def keep(values: Mapping[str, Any]) -> Outcome:
        amount = read_count(values["amount"], field="amount").value
        return page.studio.do(AllotStock(class_date_id=values["class_date_id"], material_id=material.id, amount=amount))

    choices = [
        Choice(
            one.class_id,
            f"{one.ref} {one.title}, needs {stock_words.amount_text(need, one.need.alone)}"
            f" by {show_day(one.need.need_day)}" + (f", {kept[one.class_id]} kept" if one.class_id in kept else ""),
        )
        for one in need.classes
    ]
    amount = kept.get(first) or (min(alone[first], row.holding.whole) if by_number else 1)
    form = Form(
        ChoiceField("class_date_id", "Keep for", choices, value=first),
        TextField(
            "amount", "How many" if by_number else "Cuts first", value=str(amount), read=meaning, entry_cells=12,
            hint="sheets or things; 0 frees them" if by_number else "1 lets the class cut first; 0 does not",
        ),
        title=f"Keep {row.ref} {material.name} for a class",
    )  # fmt: skip
    held = stock_words.held_text(row, page.kitwright.facts.units)
    served = stock_words.promised_text(row) or "nobody yet"
    details = f"{held} on hand, now for {served}. What is kept by hand goes before the order of the work."
    page.kitwright.push_screen(FormSheet(form, keep, details=details), page.was_kept)
