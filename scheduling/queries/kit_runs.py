"""The kit run of a class: kits and the sum behind them, steps with counts, checks, labels, mail, and what is short."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from scheduling.buying.kit_weight import KitWeight, kit_weight
from scheduling.model.materials import BillLine, LinePer
from scheduling.model.refs import ref
from scheduling.queries.cut_plans import refusal_without_bill
from scheduling.queries.late_sign_ups import LateKits, late_kits
from scheduling.queries.needs import ClassShortage, NeedRow, need_rows
from scheduling.store.day_things import tools_wanted
from scheduling.store.kit_needs import KitClass, kit_classes
from scheduling.store.kit_rows import bills, materials
from scheduling.store.rows import Reader, from_utc_text


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step: of a part for cutting, else of whole kits."""

    step: str
    part: str
    wanted: int
    done: int
    checked_by: str

    @property
    def left(self) -> int:
        return max(0, self.wanted - self.done)


@dataclass(frozen=True, slots=True)
class KitNote:
    """A problem that was found, or a weight in milligrams (within: as expected)."""

    id: int
    note: str
    weight_mg: int | None
    within: bool | None
    noted_at: dt.datetime
    mended: bool


@dataclass(frozen=True, slots=True)
class ToolRow:
    """A tool that the class shares: per head, two, table or class; wanted and owned."""

    name: str
    per: str
    wanted: int
    owned: int

    @property
    def short(self) -> int:
        return max(0, self.wanted - self.owned)


@dataclass(frozen=True, slots=True)
class Label:
    """What stands on the label of a kit; options: kits that differ, by name with their number."""

    project: str
    day: dt.date
    contents: tuple[tuple[str, int], ...]
    options: tuple[tuple[str, int], ...]
    age_from: int
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Swap:
    """What a kit holds instead of a part's usual material; instead None: the part is left out."""

    part: str
    quantity: int
    usual: str
    instead: str | None


@dataclass(frozen=True, slots=True)
class SeatKit:
    """The kit of one head: the options it chose by name, and what is picked otherwise for it."""

    seat_id: int
    name: str
    options: tuple[str, ...]
    swaps: tuple[Swap, ...]


@dataclass(frozen=True, slots=True)
class ParcelRow:
    """A head that a kit is mailed to, with what was posted; posted_on None: not yet."""

    seat_id: int
    name: str
    abroad: bool
    posted_on: dt.date | None
    proof: str
    times: int


@dataclass(frozen=True, slots=True)
class KitRunPage:
    """kits: heads, spares and demo copies. begun: steps have counts already.

    shorts: materials that the class lacks, by row. late: how many more could still get a kit, the spare ones and those
    that the stock allows beyond all needs, and what one more would lack. seat_kits: every head, where the bill has
    options. options: their names on the bill.
    """

    class_id: int
    title: str
    day: dt.date
    kits: int
    heads: int
    spares: int
    demo_copies: int
    begun: bool
    steps: tuple[StepRow, ...]
    notes: tuple[KitNote, ...]
    weight: KitWeight
    tools: tuple[ToolRow, ...]
    label: Label
    options: tuple[str, ...]
    seat_kits: tuple[SeatKit, ...]
    parcels: tuple[ParcelRow, ...]
    post_by: dt.date | None
    shorts: tuple[tuple[NeedRow, ClassShortage], ...]
    late: LateKits
    newer_version: int | None

    @property
    def ref(self) -> str:
        return ref("class_date", self.class_id)


@dataclass(frozen=True, slots=True)
class KitRun:
    """The kit run of one class; raises NotFoundError, or ConflictError where it has no bill."""

    class_date_id: int

    def fetch(self, reader: Reader) -> KitRunPage:
        kit_class = kit_classes(reader, only=self.class_date_id).get(self.class_date_id)
        if kit_class is None:
            raise refusal_without_bill(reader, self.class_date_id)
        known = materials(reader)
        bill = bills(reader)[kit_class.version_id]
        weight = kit_weight(bill, known)
        version = reader.row("project_version", kit_class.version_id) or {}
        demo_copies = int(reader.value("SELECT demo_copies FROM studio"))
        rows = need_rows(reader, only={part.material_id for part in kit_class.parts})
        heads = kit_class.heads
        contents: dict[str, int] = defaultdict(int)
        for line in bill:
            if line.per is LinePer.KIT and not known[line.material_id].packaging:
                contents[line.part] += line.quantity
        spares = max(0, heads.kits - heads.heads - demo_copies)
        return KitRunPage(
            class_id=kit_class.id,
            title=kit_class.title,
            day=kit_class.day,
            kits=heads.kits,
            heads=heads.heads,
            spares=spares,
            demo_copies=demo_copies,
            begun=bool(reader.value("SELECT 1 FROM kit_run WHERE class_date_id = ?", (kit_class.id,))),
            steps=_steps(reader, kit_class),
            notes=_notes(reader, kit_class.id, weight),
            weight=weight,
            tools=_tools(reader, kit_class),
            label=Label(
                str(version.get("title", "")),
                kit_class.day,
                tuple(contents.items()),
                heads.options,
                int(version.get("age_from") or 0),
                tuple(dict.fromkeys(text for line in bill if (text := known[line.material_id].cautions))),
            ),
            options=tuple(sorted({name for line in bill for name, _ in line.options})),
            seat_kits=_differing(reader, kit_class, bill),
            parcels=_parcels(reader, kit_class) if heads.mailed else (),
            post_by=kit_class.facts.dates.post_by,
            shorts=tuple(
                (row, one) for row in rows for one in row.classes if one.class_id == kit_class.id and one.need.short
            ),
            late=late_kits(reader, kit_class, bill, spares, rows),
            newer_version=_newer(reader, kit_class),
        )


def _steps(reader: Reader, kit_class: KitClass) -> tuple[StepRow, ...]:
    """Kept counts with what is wanted now; before the run is begun, what it will be."""
    kept = {
        (row["step"], row["part"]): row
        for row in reader.rows(
            """SELECT kit_step.* FROM kit_step JOIN kit_run ON kit_run.id = kit_step.kit_run_id
               WHERE kit_run.class_date_id = ?""",
            (kit_class.id,),
        )
    }
    return tuple(
        StepRow(
            *key,
            count,
            kept[key]["done"] if key in kept else 0,
            kept[key]["checked_by"] if key in kept else "",
        )
        for key, count in kit_class.steps_wanted().items()
    )


def _notes(reader: Reader, class_id: int, weight: KitWeight) -> tuple[KitNote, ...]:
    return tuple(
        KitNote(
            row["id"],
            row["note"],
            row["weight_mg"],
            None if row["weight_mg"] is None else weight.within(row["weight_mg"]),
            from_utc_text(row["noted_at"]),
            row["mended_at"] is not None,
        )
        for row in reader.rows(
            """SELECT kit_note.* FROM kit_note JOIN kit_run ON kit_run.id = kit_note.kit_run_id
               WHERE kit_run.class_date_id = ? ORDER BY kit_note.id""",
            (class_id,),
        )
    )


def _tools(reader: Reader, kit_class: KitClass) -> tuple[ToolRow, ...]:
    return tuple(
        ToolRow(tool.name, tool.per, tool.wanted, tool.owned)
        for tool in tools_wanted(reader, kit_class.version_id, kit_class.heads.heads)
    )


def _parcels(reader: Reader, kit_class: KitClass) -> tuple[ParcelRow, ...]:
    sent: dict[int, list[tuple[dt.date, str]]] = defaultdict(list)
    for row in reader.rows(
        """SELECT parcel.* FROM parcel JOIN seat ON seat.id = parcel.seat_id
           JOIN booking ON booking.id = seat.booking_id WHERE booking.class_date_id = ? ORDER BY parcel.id""",
        (kit_class.id,),
    ):
        sent[row["seat_id"]].append((dt.date.fromisoformat(row["posted_on"]), row["proof"]))
    return tuple(
        ParcelRow(
            seat_id,
            name,
            abroad,
            max((day for day, _ in sent[seat_id]), default=None),
            ", ".join(proof for _, proof in sent[seat_id] if proof),
            len(sent[seat_id]),
        )
        for seat_id, name, abroad in _heads(reader, kit_class.id)
    )


def _differing(reader: Reader, kit_class: KitClass, bill: tuple[BillLine, ...]) -> tuple[SeatKit, ...]:
    """Every head to come by name, where the bill has options; first those whose kit differs."""
    if not any(line.options for line in bill):
        return ()
    known = {material.id: material.name for material in materials(reader).values()}
    chosen: dict[int, list[str]] = defaultdict(list)
    for row in reader.rows(
        """SELECT seat_option.* FROM seat_option JOIN seat ON seat.id = seat_option.seat_id
           JOIN booking ON booking.id = seat.booking_id WHERE booking.class_date_id = ? ORDER BY seat_option.name""",
        (kit_class.id,),
    ):
        chosen[row["seat_id"]].append(row["name"])
    kits = []
    for seat_id, name, _ in _heads(reader, kit_class.id):
        swaps = tuple(
            Swap(line.part, line.quantity, known[line.material_id], None if instead is None else known[instead])
            for line in bill
            for option, instead in line.options
            if option in chosen[seat_id]
        )
        kits.append(SeatKit(seat_id, name, tuple(chosen[seat_id]), swaps))
    return tuple(sorted(kits, key=lambda kit: not kit.options))


def _heads(reader: Reader, class_id: int) -> list[tuple[int, str, bool]]:
    """(seat, name, abroad) of every head that a kit is made for, by name."""
    return [
        (row["id"], row["name"], bool(row["abroad"]))
        for row in reader.rows(
            """SELECT seat.id, coalesce(maker.name, 'guest of ' || payer.name) AS name,
                 coalesce(maker.abroad, payer.abroad) AS abroad
               FROM seat JOIN booking ON booking.id = seat.booking_id
               JOIN person AS payer ON payer.id = booking.payer_id
               LEFT JOIN person AS maker ON maker.id = seat.person_id
               WHERE booking.class_date_id = ? AND booking.state IN ('held', 'deposit', 'confirmed', 'offered')
                 AND seat.given_up_at IS NULL ORDER BY name, seat.id""",
            (class_id,),
        )
    ]


def _newer(reader: Reader, kit_class: KitClass) -> int | None:
    """The number of a newer version of the project, which the class may take."""
    newest = reader.first(
        "SELECT id, number FROM project_version WHERE project_id = ? ORDER BY number DESC LIMIT 1",
        (kit_class.project_id,),
    )
    return None if newest is None or newest["id"] == kit_class.version_id else int(newest["number"])
