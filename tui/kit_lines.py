"""The kits of a class as rows: how many and why, cut plans, steps with counts, checks, mail, tools, label, cost."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from scheduling.buying.cut_why import choice_text
from scheduling.buying.kit_cost import KitCost
from scheduling.buying.kit_weight import grams, thickness_text
from scheduling.model.bookings import heads_text
from scheduling.money import Currency
from scheduling.queries.cut_plans import MaterialCut
from scheduling.queries.cut_together import TogetherRow
from scheduling.queries.kit_costs import KitCash
from scheduling.queries.kit_room import KitRoomPage
from scheduling.queries.kit_runs import KitNote, KitRunPage, ParcelRow, SeatKit, StepRow
from scheduling.words import counted, show_day
from tui import stock_words
from tui.cells import Column
from tui.cut_words import buy_text
from tui.kit_words import TOOL_PER, cash_text, kit_words, lift_text
from tui.stock_lines import short_mark
from tui.widgets.rows import Cell, Row, Section, Tone

COLUMNS: Final = (
    Column("", share=3, least=26),
    Column("", 11, align="right"),
    Column("", share=2, least=16),
)


@dataclass(slots=True)
class KitLines:
    """Rows with what each is about; by row: the step, parcel, note, head or material that it stands for."""

    rows: list[Row | Section] = field(default_factory=list)
    about: dict[Hashable, str] = field(default_factory=dict)
    steps: dict[Hashable, StepRow] = field(default_factory=dict)
    parcels: dict[Hashable, ParcelRow] = field(default_factory=dict)
    notes: dict[Hashable, KitNote] = field(default_factory=dict)
    seat_kits: dict[Hashable, tuple[SeatKit, ...]] = field(default_factory=dict)
    cuts: dict[Hashable, MaterialCut] = field(default_factory=dict)
    together: dict[Hashable, tuple[tuple[int, ...], int]] = field(default_factory=dict)

    def add(self, key: Hashable, cells: tuple[str | Cell, ...], about: str, mark: str = "", tone: Tone = "") -> None:
        self.rows.append(Row(key, cells, mark, tone))
        self.about[key] = about


def kit_lines(page: KitRoomPage, *, currency: Currency, units: str) -> KitLines:
    """Everything in the order of the work."""
    lines, run = KitLines(), page.run
    _how_many(lines, run)
    _shorts(lines, run)
    _cuts(lines, page.cuts)
    _together(lines, page.together)
    _steps(lines, run)
    _checks(lines, run, units)
    _mail(lines, run)
    _tools(lines, run)
    _late(lines, run, currency)
    _label(lines, run)
    _by_seat(lines, run)
    _cost(lines, page.cost, page.cash, currency)
    return lines


def _how_many(lines: KitLines, run: KitRunPage) -> None:
    lines.rows.append(Section("Kits to build", str(run.kits)))
    why = (
        f"{heads_text(run.heads)} booked, {run.spares} spare and {run.demo_copies} to show by the rules of the studio:"
        f" {run.kits} kits. The settings hold the rules."
    )
    lines.add("heads", ("for heads booked", str(run.heads), ""), why)
    lines.add("spares", ("spare", str(run.spares), ""), why)
    lines.add("show", ("to show", str(run.demo_copies), ""), why)
    about = (
        "Late sign-ups that could still get a kit: the spare ones, and those that the stock allows beyond all needs."
    )
    names = [limit.ref for limit in run.late.limits]
    if names:
        about += f" One more would lack {', '.join(names)}; below stands what lifts that."
    more = f" and {len(names) - 1} more" if len(names) > 1 else ""
    wants = Cell(f"for want of {names[0]}{more}" if names else "", "quiet")
    lines.add("late", ("late sign-ups it allows", str(run.late.heads), wants), about)
    if run.newer_version is not None:
        word = f"Its project is at version {run.newer_version}; this class keeps the one it was planned with."
        lines.add("newer", (word, "", Cell("c takes it over", "warn")), f"{word} c lets this class take the new one.")


def _shorts(lines: KitLines, run: KitRunPage) -> None:
    if run.shorts:
        lines.rows.append(Section("Lacking", "! too late, ~ after the aim of the work"))
    for row, one in run.shorts:
        key = ("short", row.material.id)
        sign, tone = short_mark(one)
        amount = stock_words.amount_text(row, one.need.short)
        by = Cell(f"by {show_day(one.need.need_day)}", tone)
        about = f"{row.ref} {row.material.name}: {stock_words.served_text(row, one)} Enter opens it."
        lines.add(key, (f"{row.ref} {row.material.name}", amount, by), about, sign, tone)


def _cuts(lines: KitLines, cuts: tuple[MaterialCut, ...]) -> None:
    lines.rows.append(Section("Cut plans", "Enter opens the drawing"))
    for one in cuts:
        key = ("cut", one.material.id)
        lines.cuts[key] = one
        name = f"{one.ref} {one.material.name}"
        if one.trouble:
            lines.add(key, (name, "", Cell("cannot be cut", "bad")), one.trouble, "!", "bad")
        elif not one.pieces:
            lines.add(key, (name, "", Cell("all cut", "good")), "All of it is cut.", "+", "good")
        elif one.plans:
            best = one.plans[0]
            bound = one.answer.bound.sheets if one.answer else best.sheets
            against = "no fewer do it" if best.sheets == bound else f"{bound} at the very least"
            cells = (name, counted(best.sheets, "sheet"), Cell(against, "quiet"))
            buy = f"; {buy_text(best)}" if buy_text(best) else ""
            lines.add(key, cells, f"{choice_text(best)}{buy}. {' '.join(one.why)}")
        else:
            count = sum(number for _, number in one.pieces)
            lines.add(key, (name, counted(count, "piece"), Cell("by length", "quiet")), " ".join(one.why))
    if not cuts:
        lines.add("no cuts", ("Nothing is cut for this project", "", ""), "Its bill has no pieces.")


def _together(lines: KitLines, row: TogetherRow | None) -> None:
    if row is None:
        return
    lines.rows.append(Section(f"Cut together: {', '.join(row.class_refs)}", "sheets; set-ups"))
    for one in row.savings:
        key = ("together", one.material.id)
        lines.together[key] = (row.classes, one.material.id)
        cells = (one.material.name, f"{one.sheets}; {one.set_ups}",
                 Cell(f"class by class {one.sheets_apart}; {one.set_ups_apart}", "quiet"))  # fmt: skip
        about = f"{one.material.name} for {', '.join(row.class_refs)}, {row.kits} kits: {one.sheets} sheets and"
        about += f" {one.set_ups} set-ups from one plan, {one.sheets_apart} and {one.set_ups_apart} class by class."
        lines.add(key, cells, about)


def _steps(lines: KitLines, run: KitRunPage) -> None:
    lines.rows.append(Section("Steps", "t ticks off, c counts" if run.begun else "not begun; t ticks off, c counts"))
    for step in run.steps:
        key = ("step", step.step, step.part)
        lines.steps[key] = step
        name = f"{step.step} {step.part}".strip()
        done = step.wanted and not step.left
        by = f"checked by {step.checked_by}" if step.checked_by else ""
        state = Cell(
            by or ("done" if done else "" if not step.done else f"{step.left} left"), "quiet" if done else "warn"
        )
        about = f"{name}: {step.done} of {step.wanted} done. "
        about += "Cut pieces are counted by the cut plan." if step.part else "t ticks it off whole, c counts so far."
        mark, tone = ("+", "good") if done else ("", "")
        lines.add(key, (name, f"{step.done} of {step.wanted}", state), about, mark, tone)  # type: ignore[arg-type]


def _checks(lines: KitLines, run: KitRunPage, units: str) -> None:
    weight = run.weight
    lines.rows.append(Section("Checks", "n notes a weight or a problem"))
    about = f"By the bill a kit weighs about {grams(weight.milligrams)}; its flat parts are"
    about += f" {thickness_text(weight.thickness, units)} thick."
    if weight.unknown:
        about += f" Without a weight: {', '.join(weight.unknown)}."
    lines.add("weight", ("a kit weighs about", grams(weight.milligrams), ""), about)
    thick = Cell(f"{thickness_text(weight.thickness, units)} thick", "quiet")
    lines.add("thick", ("its flat parts are", "", thick), about)
    for note in run.notes:
        key = ("note", note.id)
        lines.notes[key] = note
        if note.weight_mg is not None:
            word = "as expected" if note.within else "not as expected: open it"
            tone: Tone = "good" if note.within else "bad"
            lines.add(key, ("weighed", grams(note.weight_mg), Cell(word, tone)), f"Weighed {grams(note.weight_mg)}.")
        else:
            word = "mended" if note.mended else "t says that it is mended"
            mark = "+" if note.mended else "!"
            cells = (note.note, "", Cell(word, "quiet"))
            lines.add(key, cells, f"Found: {note.note}.", mark, "good" if note.mended else "warn")


def _mail(lines: KitLines, run: KitRunPage) -> None:
    if run.post_by is None:
        return
    posted = sum(1 for parcel in run.parcels if parcel.posted_on)
    lines.rows.append(Section(f"To post by {show_day(run.post_by)}", f"{posted} of {len(run.parcels)} posted"))
    each = grams(run.weight.milligrams + run.weight.mailer)
    lines.add("each", ("one parcel", each, ""), f"Each {each} with its mailer: {run.weight.mail}")
    for parcel in run.parcels:
        key = ("parcel", parcel.seat_id)
        lines.parcels[key] = parcel
        where = Cell("abroad", "warn") if parcel.abroad else Cell("", "")
        when = show_day(parcel.posted_on) if parcel.posted_on else "to post"
        again = f", sent {parcel.times} times" if parcel.times > 1 else ""
        proof = f" Proof: {parcel.proof}." if parcel.proof else ""
        about = f"{parcel.name}: {when}{again}.{proof} t keeps that it is posted; c sends a second one."
        done = parcel.posted_on is not None
        lines.add(key, (parcel.name, when, where), about, "+" if done else "", "good" if done else "")


def _tools(lines: KitLines, run: KitRunPage) -> None:
    if run.tools:
        lines.rows.append(Section("Tools on the tables", "wanted, and owned"))
    for tool in run.tools:
        short = f"{tool.owned} owned; share, borrow or buy {tool.short}" if tool.short else f"{tool.owned} owned"
        cells = (f"{tool.name}, {TOOL_PER[tool.per]}", str(tool.wanted), Cell(short, "warn" if tool.short else "quiet"))
        lines.add(("tool", tool.name, tool.per), cells, f"{tool.name}: {tool.wanted} wanted, {short}.",
                  "!" if tool.short else "", "warn" if tool.short else "")  # fmt: skip


def _late(lines: KitLines, run: KitRunPage, currency: Currency) -> None:
    """What one more head would lack, and what lifts it."""
    if run.late.limits:
        lines.rows.append(Section("One late sign-up more would lack", "order; it comes"))
    for limit in run.late.limits:
        packs = "" if not limit.packs else f"{limit.packs} pack{'' if limit.packs == 1 else 's'}"
        comes = "cannot be had" if limit.comes is None else show_day(limit.comes)
        comes += " or from other classes" if limit.from_classes else ""
        cells = (f"{limit.ref} {limit.material.name}", packs, Cell(comes, "quiet"))
        about = f"{limit.ref} {limit.material.name}: {lift_text(limit, currency)}. Enter opens it."
        mark, tone = ("", "") if limit.in_time else ("~", "warn")
        lines.add(("limit", limit.material.id), cells, about, mark, tone)  # type: ignore[arg-type]


def _label(lines: KitLines, run: KitRunPage) -> None:
    label = run.label
    lines.rows.append(Section("In each kit", f"{label.project}, from {label.age_from} years"))
    for name, count in label.contents:
        lines.add(("in", name), (name, str(count), ""), f"{name}: {count} in each kit.")
    for n, caution in enumerate(label.cautions):
        lines.add(
            ("caution", n), (caution, "", ""), f"Caution: {caution} Ask the maker's sheet and local rules.", "!", "warn"
        )


def _by_seat(lines: KitLines, run: KitRunPage) -> None:
    """Where the bill has options, the heads by what is picked otherwise for them; alike kits share a row."""
    if not run.options:
        return
    groups: dict[tuple[str, ...], list[SeatKit]] = {}
    for kit in run.seat_kits:
        groups.setdefault(kit.options, []).append(kit)
    differ = sum(1 for kit in run.seat_kits if kit.options)
    lines.rows.append(Section("Kits by seat", f"{differ} of {len(run.seat_kits)} differ; c sets options"))
    for options, kits in groups.items():
        key = ("seat kits", options)
        lines.seat_kits[key] = tuple(kits)
        words = kit_words(kits[0])
        cells = (", ".join(kit.name for kit in kits), str(len(kits)), Cell(words, "warn" if options else "quiet"))
        about = f"{words}: {', '.join(kit.name for kit in kits)}. Options on the bill: {', '.join(run.options)}."
        lines.add(key, cells, about, "*" if options else "", "warn" if options else "")


def _cost(lines: KitLines, cost: KitCost | None, cash: KitCash | None, currency: Currency) -> None:
    if cost is None:
        return
    lines.rows.append(Section("A kit costs", currency.show(cost.total)))
    for key, words, amount in (
        ("materials", "materials, by the share that is used", cost.materials),
        ("packaging", "packaging", cost.packaging),
        ("waste", "waste", cost.waste),
        ("labour", "your work at your rate, on top", cost.labour),
    ):
        lines.add(("cost", key), (words, currency.show(amount), ""), f"{words}: {currency.show(amount)}.")
    if cash is not None:
        stays = Cell(f"{currency.show(cash.left)} of it stays in stock", "quiet")
        lines.add(
            ("cost", "cash"), ("all kits in whole packs", currency.show(cash.total), stays), cash_text(cash, currency)
        )
    for n, line in enumerate(cost.lines):
        share = Decimal(line.share.numerator) / line.share.denominator / 10**currency.places
        about = f"{line.quantity} of {line.part} from {line.material}, {line.yield_} a unit: {share:.4f} a kit."
        cells = (
            f"{line.part}, {line.material}",
            f"{share:.4f}",
            Cell(f"{line.quantity} at {line.yield_} a unit", "quiet"),
        )
        lines.add(("cost line", n), cells, about)
    for n, part in enumerate(cost.unknown):
        lines.add(
            ("unknown", n), (part, "", Cell("price not known", "warn")), f"{part} counts as nothing.", "!", "warn"
        )
