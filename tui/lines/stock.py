"""The verb `stock`."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling.commands.stock import AllotStock, CountStock, MoveStock
from scheduling.errors import InvalidError
from scheduling.model.refs import ref
from scheduling.queries.settings import Settings
from scheduling.queries.stock import Journal, Stock
from scheduling.studio import Studio
from scheduling.words import show_day
from tui.lines.answers import answer
from tui.lines.kit_named import material_named
from tui.lines.named import class_named
from tui.lines.out import say, show_outcome, table
from tui.lines.place import open_studio, studio_path
from tui.stock_words import held_text, movement_text, promised_text

DEEDS = ("list", "count", "waste", "give", "left-over", "allot", "journal")


def arguments(_verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("deed", choices=DEEDS, nargs="?", default="list", help="what to do (list)")
    parser.add_argument("named", nargs="?", metavar="MATERIAL", help="a reference such as M03, or a name")
    parser.add_argument("--all", action="store_true", help="list: retired ones too")
    parser.add_argument("--whole", type=int, help="count: sheets or things, unbegun reels; else how many")
    parser.add_argument("--length", action="append", help="count: of each begun reel or roll, such as '25 yd'")
    parser.add_argument("--off-cut", action="append", help="count: such as '12 x 9 =3', along the grain first")
    parser.add_argument("--of", metavar="SIZE", help="waste, give, left-over: of an off-cut or begun length")
    parser.add_argument("--reason", default="", help="why")
    parser.add_argument("--class", dest="class_date", help="allot, left-over: the class date")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        return _stock(studio, parsed)


def _stock(studio: Studio, parsed: Namespace) -> int:
    if parsed.deed == "list":
        return _stock_list(studio, parsed)
    if parsed.deed == "journal":
        return _journal(studio, parsed, _material(studio, parsed) if parsed.named else None)
    material_id = _material(studio, parsed)
    if parsed.deed == "count":
        entries: dict[str, Any] = {"whole": parsed.whole}
        if parsed.length is not None:
            entries["lengths"] = tuple(parsed.length)
        if parsed.off_cut is not None:
            entries["off_cuts"] = tuple(_off_cut(text) for text in parsed.off_cut)
        return show_outcome(
            studio.do(CountStock(material_id=material_id, note=parsed.reason or "counted", **entries)), parsed
        )
    if parsed.whole is None:
        raise InvalidError("How many?", hint="Give --whole.", field="whole")
    class_id = class_named(studio, parsed.class_date).id if parsed.class_date else None
    if parsed.deed == "allot":
        if class_id is None:
            raise InvalidError("For which class?", hint="Give --class.", field="class")
        return show_outcome(
            studio.do(AllotStock(class_date_id=class_id, material_id=material_id, amount=parsed.whole)), parsed
        )
    reason, sign = {"waste": ("waste", -1), "give": ("given away", -1), "left-over": ("left over", 1)}[parsed.deed]
    return show_outcome(
        studio.do(
            MoveStock(
                material_id=material_id,
                change=sign * parsed.whole,
                reason=reason,
                size=parsed.of or "",
                class_date_id=class_id,
                note=parsed.reason,
            )
        ),
        parsed,
    )


def _material(studio: Studio, parsed: Namespace) -> int:
    if not parsed.named:
        raise InvalidError("Which material?", hint=f"kitwright stock {parsed.deed} M03", field="material")
    return material_named(studio, parsed.named)


def _off_cut(text: str) -> tuple[str, int]:
    size, sign, count = text.partition("=")
    if sign and not count.strip().isdecimal():
        raise InvalidError(f"{text!r} names no number.", hint="Write such as '12 x 9 =3'.", field="off_cuts")
    return size.strip(), int(count) if sign else 1


def _stock_list(studio: Studio, parsed: Namespace) -> int:
    rows = studio.ask(Stock(parsed.all))
    facts = studio.ask(Settings())
    if parsed.json:
        materials = [
            {
                "ref": row.ref,
                "material": row.material.name,
                "form": row.material.form.value,
                "whole": row.holding.whole,
                "lengths": row.holding.lengths,
                "off_cuts": row.holding.off_cuts,
                "on_order": row.on_order,
                "promised": [{"class": ref("class_date", number), "amount": held} for number, held in row.promised],
                "free": row.free,
                "value": facts.currency.from_minor(row.value),
                "retired": row.retired,
            }
            for row in rows
        ]
        print(answer("stock", currency=facts.currency.code, materials=materials))
        return 0
    table(
        ("", "Material", "On hand", "On order", "Promised to", "Free", "Value"),
        [
            (
                row.ref,
                row.material.name + (" (retired)" if row.retired else ""),
                held_text(row, facts.units),
                str(row.on_order or ""),
                promised_text(row),
                "" if row.free is None else str(row.free),
                facts.currency.show(row.value),
            )
            for row in rows
        ],
        right=(3, 5, 6),
    )
    return 0


def _journal(studio: Studio, parsed: Namespace, material_id: int | None) -> int:
    rows = studio.ask(Journal(material_id))
    unit = studio.ask(Settings()).units
    if parsed.json:
        print(answer("journal", material=ref("material", material_id) if material_id else None, movements=rows))
        return 0
    for row in rows:
        name = "" if material_id else f"{row.material_ref} {row.material}  "
        tail = " ".join(filter(None, (row.class_ref, row.order_ref, row.note)))
        say(f"{show_day(row.day)}  {name}{movement_text(row, unit)}  {row.reason}  {tail}".rstrip())
    return 0
