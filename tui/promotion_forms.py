"""The form of a new promotion: an early bird on some classes, or a bundle of two."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from scheduling import commands
from scheduling.amounts import read_money
from scheduling.commands.request import Outcome
from scheduling.errors import InvalidError
from scheduling.model.refs import ref_id
from scheduling.money import Currency
from scheduling.words import read_day, show_day
from tui.screens.studio_page import StudioPage
from tui.widgets.choice_field import Choice, ChoiceField, YesNoField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet

KINDS = (Choice("early bird", "early bird"), Choice("bundle", "bundle of two classes"))


def start_promotion(page: StudioPage) -> None:
    """Ask for a promotion; what was understood of each entry stands beside it."""
    currency, today = page.kitwright.facts.currency, page.today

    def day(typed: str, field: str) -> Any:
        return read_day(typed, today=today, day_first=page.day_first, field=field)

    def classes(typed: str, field: str) -> tuple[int, ...]:
        return tuple(ref_id(word, "class_date", field=field) for word in typed.replace(",", " ").split())

    def keep(values: Mapping[str, Any]) -> Outcome:
        is_bundle = values["kind"] == "bundle"
        entries: dict[str, Any] = {"name": values["name"], "kind": values["kind"], **read_off(values["off"], currency)}
        entries["ones" if is_bundle else "classes"] = classes(values["ones"], "ones")
        if is_bundle:
            entries["others"] = classes(values["others"], "others")
        if values["opens"].strip():
            entries["opens"] = day(values["opens"], "opens").value
        last = values["ends"].strip().casefold().replace(" ", "")
        if last.startswith("t-"):
            entries["ends_days_before"] = _number(last[2:], "ends")
        elif last:
            entries["ends"] = day(values["ends"], "ends").value
        if values["first_heads"].strip():
            entries["first_heads"] = _number(values["first_heads"].strip(), "first_heads")
        return page.studio.do(commands.AddPromotion(with_others=values["with_others"], **entries))

    form = Form(
        TextField("name", "Name", hint="as you announce it"),
        ChoiceField("kind", "Kind", KINDS, value="early bird"),
        TextField("off", "Off a head", hint="15% or a sum", read=lambda typed: _shown_off(typed, currency)),
        TextField("ones", "Classes", hint="C09 C10 ...; of a bundle the one side"),
        TextField("others", "Bundled with", is_needed=False, hint="of a bundle the other side: C11 C12"),
        TextField("opens", "First day", value=show_day(today, year=True), is_needed=False,
                  read=lambda typed: day(typed, "opens").shown),
        TextField("ends", "Last day", is_needed=False, hint="a day, or T-21 for 21 days before each class"),
        TextField("first_heads", "First heads only", is_needed=False, hint="such as 5; nothing for all"),
        YesNoField("with_others", "Beside others", hint="yes lets it stand beside another promotion"),
        title="A new promotion; bookings made already keep their price",
    )  # fmt: skip
    page.app.push_screen(FormSheet(form, keep), page.was_kept)


def read_off(typed: str, currency: Currency) -> dict[str, Any]:
    """What a promotion takes off a head: a percentage or a sum; raises InvalidError."""
    text = typed.strip()
    if text.endswith("%"):
        try:
            return {"percent": Decimal(text[:-1].strip().replace(",", "."))}
        except InvalidOperation as error:
            raise InvalidError(f"{text} is not a percentage.", hint="Write 15%.", field="off") from error
    return {"off_minor": read_money(text, currency, field="off").value}


def _shown_off(typed: str, currency: Currency) -> str:
    off = read_off(typed, currency)
    return f"{off['percent']}%" if "percent" in off else f"{currency.show(off['off_minor'])} {currency.code}"


def _number(typed: str, field: str) -> int:
    if not typed.isdecimal():
        raise InvalidError(f"{typed} is not a number.", hint="Write digits.", field=field)
    return int(typed)
