"""The verbs `material`, `supplier`, `tool` and `bill`."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling.amounts import read_money
from scheduling.commands.bill_rows import BillEntry
from scheduling.commands.bills import SetBill, TakeNewVersion
from scheduling.commands.materials import AddMaterial, ChangeMaterial, KeepTool, RetireMaterial
from scheduling.commands.suppliers import AddSupplier, ChangeSupplier, CloseSupplier, RetireSupplier
from scheduling.errors import InvalidError
from scheduling.model.materials import BillLine, Form, Material
from scheduling.model.refs import ref
from scheduling.queries.kit_shelves import BillOf, Materials, Suppliers, Tools
from scheduling.queries.owed import Today
from scheduling.queries.settings import Settings, StudioFacts
from scheduling.studio import Studio
from scheduling.typed_bill import options_text, read_options, read_ways, ways_text
from scheduling.words import counted, read_day, read_time
from tui.kit_words import TOOL_PER
from tui.lines.answers import answer
from tui.lines.kit_named import material_named, supplier_named, tool_named
from tui.lines.named import class_named, shelf_named
from tui.lines.out import say, show_outcome, table
from tui.lines.place import open_studio, studio_path

_DEEDS = {
    "material": ("list", "add", "change", "retire"),
    "supplier": ("list", "add", "change", "retire", "shut", "open"),
    "tool": ("list", "add", "change", "retire"),
    "bill": ("show", "set", "take"),
}
_MATERIAL_TEXTS = ("form", "size", "grain", "trim", "leader", "thickness", "swap", "cautions")
_MATERIAL_NUMBERS = ("pack", "weight_mg")
_MARKS = ("one_way", "two_sided", "packaging")
_SUPPLIER_TEXTS = ("lead_in", "takes_orders_on", "contact", "note")
_BILL_LINE = (
    "set: a line, such as 'Cover;M04;1;5 3/4 x 9;kit;one way up, back shows;slate=M04'; the last may be left out"
)


def arguments(verb: str, parser: ArgumentParser) -> None:
    deeds = _DEEDS[verb]
    parser.add_argument("deed", choices=deeds, nargs="?", default=deeds[0], help=f"what to do ({deeds[0]})")
    name = "PROJECT" if verb == "bill" else "NAME"
    parser.add_argument("named", nargs="?", metavar=name, help="a reference or a name; for add the new name")
    parser.add_argument("--all", action="store_true", help="list: retired ones too")
    parser.add_argument("--back", action="store_true", help="retire: bring back")
    if verb == "bill":
        form = "PART;MATERIAL;NUMBER;SIZE;PER;HOW;OPTIONS"
        parser.add_argument("--line", action="append", default=[], metavar=form, help=_BILL_LINE)
        parser.add_argument("--measure", action="append", metavar="NAME=SIZE", help="set: for formulas, height=8 1/4")
    else:
        parser.add_argument("--name", help="change: the new name")
    if verb == "material":
        for name in (*_MATERIAL_TEXTS, *_MATERIAL_NUMBERS):
            kind = int if name in _MATERIAL_NUMBERS else str
            parser.add_argument(f"--{name.replace('_', '-')}", dest=name, type=kind)
        for name in _MARKS:
            parser.add_argument(f"--{name.replace('_', '-')}", choices=("yes", "no"), dest=name)
        for name in ("supplier", "price", "price-then", "price-from", "last-orders"):
            parser.add_argument(f"--{name}")
    elif verb == "supplier":
        parser.add_argument("--lead", type=int, dest="lead_days", help="days from ordering to coming")
        for name in _SUPPLIER_TEXTS:
            parser.add_argument(f"--{name.replace('_', '-')}", dest=name)
        for name in ("order-before", "least-order", "carriage", "carriage-free", "day"):
            parser.add_argument(f"--{name}")
    elif verb == "tool":
        parser.add_argument("--owned", type=int, help="how many there are")
        parser.add_argument("--holds", type=int, help="kits that each holds while they dry or are pressed; 0 for none")
        parser.add_argument("--cautions")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        verbs = {"material": _material, "supplier": _supplier, "tool": _tool, "bill": _bill}
        return verbs[parsed.verb](studio, parsed)


def _wanted(parsed: Namespace, example: str) -> str:
    if not parsed.named:
        raise InvalidError(f"Which {parsed.verb}?", hint=f"kitwright {parsed.verb} {parsed.deed} {example}",
                           field=parsed.verb)  # fmt: skip
    return str(parsed.named)


def _given(parsed: Namespace, *names: str) -> dict[str, Any]:
    return {name: getattr(parsed, name) for name in names if getattr(parsed, name) is not None}


def _day(studio: Studio, text: str, facts: StudioFacts) -> Any:
    return read_day(text, today=studio.ask(Today()), day_first=facts.day_first).value


def _material(studio: Studio, parsed: Namespace) -> int:
    facts = studio.ask(Settings())
    if parsed.deed == "list":
        rows = studio.ask(Materials(parsed.all))
        names = {row.id: row.name for row in studio.ask(Suppliers(with_retired=True))}
        if parsed.json:
            print(answer("materials", currency=facts.currency.code, materials=[_material_entry(row) for row in rows]))
            return 0
        table(
            ("", "Material", "Form", "Size", "Grain", "Pack", "Price", "Supplier"),
            [
                (
                    ref("material", row.id),
                    row.name,
                    row.form.value,
                    row.size,
                    row.grain if row.form is Form.SHEET else "",
                    str(row.pack),
                    facts.currency.show(row.price),
                    names.get(row.supplier_id or 0, ""),
                )
                for row in rows
            ],
            right=(5, 6),
        )
        return 0
    if parsed.deed == "retire":
        material_id = material_named(studio, _wanted(parsed, "M03"))
        return show_outcome(studio.do(RetireMaterial(material_id=material_id, back=parsed.back)), parsed)
    entries = _given(parsed, *_MATERIAL_TEXTS, *_MATERIAL_NUMBERS)
    entries |= {name: value == "yes" for name, value in _given(parsed, *_MARKS).items()}
    if parsed.supplier:
        entries["supplier_id"] = supplier_named(studio, parsed.supplier)
    if parsed.price:
        entries["price_minor"] = read_money(parsed.price, facts.currency, field="price").value
    if parsed.price_then:
        entries["price_then_minor"] = read_money(parsed.price_then, facts.currency, field="price_then").value
    if parsed.price_from:
        entries["price_from"] = _day(studio, parsed.price_from, facts)
    if parsed.last_orders:
        entries["last_order_day"] = _day(studio, parsed.last_orders, facts)
    if parsed.deed == "add":
        return show_outcome(studio.do(AddMaterial(name=_wanted(parsed, "NAME"), **entries)), parsed)
    material_id = material_named(studio, _wanted(parsed, "M03"))
    return show_outcome(studio.do(ChangeMaterial(material_id=material_id, **entries, **_given(parsed, "name"))), parsed)


def _material_entry(row: Material) -> dict[str, Any]:
    return {
        "ref": ref("material", row.id),
        "name": row.name,
        "form": row.form.value,
        "size": row.size,
        "grain": row.grain,
        "one_way": row.one_way,
        "pack": row.pack,
        "price_minor": row.price,
        "supplier": None if row.supplier_id is None else ref("supplier", row.supplier_id),
        "last_order_day": row.last_order_day,
    }


def _supplier(studio: Studio, parsed: Namespace) -> int:
    facts = studio.ask(Settings())
    show = facts.currency.show
    if parsed.deed == "list":
        rows = studio.ask(Suppliers(parsed.all))
        if parsed.json:
            listed = [
                {
                    "ref": ref("supplier", row.id),
                    "name": row.name,
                    "lead_days": row.delivery.lead_days,
                    "order_before": row.delivery.order_before,
                    "least_order": facts.currency.from_minor(row.least_order),
                    "carriage": facts.currency.from_minor(row.carriage),
                    "carriage_free": None
                    if row.carriage_free is None
                    else facts.currency.from_minor(row.carriage_free),
                    "note": row.note,
                }
                for row in rows
            ]
            print(answer("suppliers", currency=facts.currency.code, suppliers=listed))
            return 0
        table(
            ("", "Supplier", "Lead", "Least order", "Carriage", "Free from", "Note"),
            [
                (
                    ref("supplier", row.id),
                    row.name,
                    counted(row.delivery.lead_days, "day"),
                    show(row.least_order),
                    show(row.carriage),
                    "" if row.carriage_free is None else show(row.carriage_free),
                    row.note,
                )
                for row in rows
            ],
            right=(3, 4, 5),
        )
        return 0
    if parsed.deed == "add":
        return show_outcome(
            studio.do(AddSupplier(name=_wanted(parsed, "NAME"), **_supplier_entries(parsed, facts))), parsed
        )
    supplier_id = supplier_named(studio, _wanted(parsed, "U01"))
    if parsed.deed == "retire":
        return show_outcome(studio.do(RetireSupplier(supplier_id=supplier_id, back=parsed.back)), parsed)
    if parsed.deed in ("shut", "open"):
        if not parsed.day:
            raise InvalidError("On which day?", hint="Give --day.", field="day")
        day = _day(studio, parsed.day, facts)
        return show_outcome(
            studio.do(CloseSupplier(supplier_id=supplier_id, day=day, back=parsed.deed == "open")), parsed
        )
    entries = _supplier_entries(parsed, facts) | _given(parsed, "name")
    return show_outcome(studio.do(ChangeSupplier(supplier_id=supplier_id, **entries)), parsed)


def _supplier_entries(parsed: Namespace, facts: StudioFacts) -> dict[str, Any]:
    entries = _given(parsed, "lead_days", *_SUPPLIER_TEXTS)
    for name in ("least_order", "carriage", "carriage_free"):
        if getattr(parsed, name) is not None:
            entries[f"{name}_minor"] = read_money(getattr(parsed, name), facts.currency, field=name).value
    if parsed.order_before:
        entries["order_before"] = read_time(parsed.order_before, field="order_before").value
    return entries


def _tool(studio: Studio, parsed: Namespace) -> int:
    if parsed.deed == "list":
        rows = studio.ask(Tools(parsed.all))
        if parsed.json:
            print(answer("tools", tools=rows))
            return 0
        listed = [(row.ref, row.name, str(row.owned), str(row.holds or ""), str(row.projects)) for row in rows]
        table(("", "Tool", "Owned", "Holds", "Projects"), listed, right=(2, 3, 4))
        return 0
    if parsed.deed == "add":
        return show_outcome(
            studio.do(KeepTool(name=_wanted(parsed, "NAME"), **_given(parsed, "owned", "holds", "cautions"))), parsed
        )
    tool_id = tool_named(studio, _wanted(parsed, "L01"))
    given = _given(parsed, "owned", "holds", "cautions", "name")
    entries = {"retired": not parsed.back} if parsed.deed == "retire" else given
    return show_outcome(studio.do(KeepTool(tool_id=tool_id, **entries)), parsed)


def _bill(studio: Studio, parsed: Namespace) -> int:
    if parsed.deed == "take":
        row = class_named(studio, _wanted(parsed, "C05"))
        return show_outcome(studio.do(TakeNewVersion(class_date_id=row.id)), parsed)
    project_id = shelf_named(studio, "project", _wanted(parsed, "P3"))
    if parsed.deed == "set":
        lines = tuple(_line(studio, text) for text in parsed.line)
        measures = None if parsed.measure is None else dict(_measure(text) for text in parsed.measure)
        return show_outcome(studio.do(SetBill(project_id=project_id, lines=lines, measures=measures)), parsed)
    bill = studio.ask(BillOf(project_id))
    if parsed.json:
        entries = [
            {
                "part": line.part,
                "material": ref("material", material.id),
                "name": material.name,
                "quantity": line.quantity,
                "size": line.size,
                "formula": line.formula,
                "per": line.per.value,
                "free_grain": line.free_grain,
                "one_way": line.one_way,
                "fold": line.fold,
                "hand": line.hand,
                "face": line.face,
                "options": dict(line.options),
            }
            for line, material in bill.lines
        ]
        print(
            answer(
                "bill",
                project=bill.ref,
                title=bill.title,
                number=bill.number,
                lines=entries,
                tools=bill.tools,
                measures=dict(bill.measures),
            )
        )
        return 0
    say(f"{bill.ref} {bill.title}, version {bill.number}")
    table(
        ("Part", "Number", "Size, along the grain first", "Per", "", "Material"),
        [
            (line.part, str(line.quantity), _sized(line), line.per.value, ref("material", material.id), material.name)
            for line, material in bill.lines
        ],
        right=(1,),
    )
    for line, _ in bill.lines:
        if ways := ways_text(line):
            say(f"  {line.part}: {ways}")
        if line.options:
            say(f"  {line.part}, options: {options_text(dict(line.options))}")
    for name, length in bill.measures:
        say(f"  {name} = {length.show()}")
    for name, per in bill.tools:
        say(f"  {name}, {TOOL_PER[per]}")
    return 0


def _sized(line: BillLine) -> str:
    return f"{line.size} = {line.formula}" if line.formula else line.size


def _measure(text: str) -> tuple[str, str]:
    name, sign, size = text.partition("=")
    if not sign:
        raise InvalidError(f"{text!r} names no measure.", hint="Write height=8 1/4.", field="measures")
    return name.strip(), size.strip()


def _line(studio: Studio, text: str) -> BillEntry:
    """A line as typed: part; material; number; size; per; how it lies; options, which may be several."""
    cells = [cell.strip() for cell in text.split(";", 6)]
    if len(cells) < 2:
        hint = "Write PART;MATERIAL;NUMBER;SIZE;PER;HOW;OPTIONS."
        raise InvalidError(f"{text!r} is no line.", hint=hint, field="lines")
    cells += [""] * (7 - len(cells))
    if cells[2] and not cells[2].isdecimal():
        raise InvalidError(f"{cells[2]!r} is no number.", hint="Give a whole number.", field="lines")
    entries: dict[str, Any] = {"part": cells[0], "material_id": material_named(studio, cells[1]), "size": cells[3]}
    if cells[2]:
        entries["quantity"] = int(cells[2])
    if cells[4]:
        entries["per"] = cells[4]
    entries |= read_ways(cells[5])
    if cells[6]:
        entries["options"] = read_options(cells[6])
    try:
        return BillEntry(**entries)
    except ValueError as error:
        hint = "The fifth is kit, head, mailed head or class."
        raise InvalidError(f"{text!r} is no line.", hint=hint, field="lines") from error
