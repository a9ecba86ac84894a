"""Kit runs: sheets cut by their plan, steps ticked with counts, problems, weights, parcels, left-overs back.

A step's count is what is done so far, so work that was broken off goes on where it stopped. What a step uses leaves
the stock with the tick: pieces with their sheets, things when kits are bagged, mailers when they are posted.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from scheduling.commands.found import found, number, text
from scheduling.commands.kit_tasks import steps_with_tasks, tick_tasks
from scheduling.commands.request import Outcome, Request
from scheduling.commands.stock import WHOLE, move, on_hand
from scheduling.errors import ConflictError, InvalidError, NotFoundError
from scheduling.model.materials import Form, LinePer
from scheduling.model.refs import ref
from scheduling.store.kit_needs import STEPS as STEPS
from scheduling.store.kit_needs import KitClass, kit_classes
from scheduling.store.kit_rows import materials
from scheduling.store.rows import Transaction
from scheduling.words import counted

Step = Literal["pre-work", "sort", "bag", "label", "check", "seal", "post"]


@dataclass(frozen=True, slots=True, kw_only=True)
class KitsKept(Outcome):
    class_date_id: int
    done: int


class BeginKitRun(Request[KitsKept]):
    """Begin the kit run of a class, or bring its counts to the heads of now: kits, and pieces of each part to cut."""

    class_date_id: int

    def run(self, tx: Transaction) -> KitsKept:
        kit_class = class_with_bill(tx, self.class_date_id)
        begin_run(tx, kit_class)
        where = ref("class_date", self.class_date_id)
        return KitsKept(
            summary=f"Began the kit run of {where}",
            said=f"{kit_class.heads.kits} kits are to be made for {where} {kit_class.title}.",
            class_date_id=self.class_date_id,
            done=0,
        )


class TickKits(Request[KitsKept]):
    """Set how many kits a step is done for; the things that the step uses leave the stock, or come back to it.

    done: so far, in all. checked_by: who looked them over.
    """

    class_date_id: int
    step: Step
    done: Annotated[int, Field(ge=0, le=10000)]
    checked_by: Annotated[str, Field(max_length=60)] = ""

    def run(self, tx: Transaction) -> KitsKept:
        kit_class = class_with_bill(tx, self.class_date_id)
        run_id = begin_run(tx, kit_class)
        row = tx.first("SELECT * FROM kit_step WHERE kit_run_id = ? AND step = ? AND part = ''", (run_id, self.step))
        if row is None:
            raise InvalidError(
                f"{ref('class_date', self.class_date_id)} has no step {self.step}: its kits are not mailed.",
                hint="Choose another step.",
                field="step",
            )
        warnings = not_done_before(tx, kit_class, run_id, self.step, self.done) if self.done > row["done"] else ()
        if self.step in ("bag", "post"):
            warnings += use_things(tx, kit_class, self.step, self.done - row["done"])
        columns = {"done": self.done} | ({"checked_by": self.checked_by} if self.checked_by else {})
        tx.update("kit_step", row["id"], columns)
        tick_tasks(tx, kit_class, (self.step,))
        where = ref("class_date", self.class_date_id)
        left = max(0, row["wanted"] - self.done)
        return KitsKept(
            summary=f"{self.step}: {self.done} kits of {where}",
            said=f"{self.step}: {self.done} of {row['wanted']} for {where}"
            + (f", {left} left." if left else ", all done."),
            warnings=warnings,
            class_date_id=self.class_date_id,
            done=self.done,
        )


class NoteKits(Request[KitsKept]):
    """Note a problem found in a kit run, or the weight of a kit; mended: the problem with that number is mended."""

    class_date_id: int
    note: Annotated[str, Field(max_length=300)] = ""
    weight_mg: Annotated[int, Field(ge=1, le=10**9)] | None = None
    mended: int | None = None

    def run(self, tx: Transaction) -> KitsKept:
        kit_class = class_with_bill(tx, self.class_date_id)
        run_id = begin_run(tx, kit_class)
        where = ref("class_date", self.class_date_id)
        if self.mended is not None:
            row = found(tx, "kit_note", self.mended)
            if row["kit_run_id"] != run_id:
                raise NotFoundError(f"That problem is not of {where}.", hint="Look at its kit run.", field="mended")
            tx.update("kit_note", self.mended, {"mended_at": tx.now_text})
            said = "The problem is mended."
        else:
            if not self.note and self.weight_mg is None:
                raise InvalidError("What was found?", hint="Say what is wrong, or give a weight.", field="note")
            kind = "problem" if self.weight_mg is None else "weight"
            tx.insert(
                "kit_note",
                {
                    "kit_run_id": run_id,
                    "kind": kind,
                    "note": self.note,
                    "weight_mg": self.weight_mg,
                    "noted_at": tx.now_text,
                },
            )
            said = f"The {kind} is noted."
        return KitsKept(summary=f"Noted for the kits of {where}", said=said, class_date_id=self.class_date_id, done=0)


class PostKit(Request[KitsKept]):
    """Keep that the kit of a seat was posted, with its proof; again: a second one, for a kit that did not come."""

    seat_id: int
    posted_on: dt.date | None = None
    proof: Annotated[str, Field(max_length=120)] = ""
    again: bool = False

    def run(self, tx: Transaction) -> KitsKept:
        seat = found(tx, "seat", self.seat_id)
        booking = found(tx, "booking", number(seat, "booking_id"))
        class_date_id = number(booking, "class_date_id")
        kit_class = class_with_bill(tx, class_date_id)
        day = self.posted_on or tx.today()
        if day > tx.today():
            raise InvalidError("A kit is posted once it is.", hint="Give today or earlier.", field="posted_on")
        there = tx.value("SELECT count(*) FROM parcel WHERE seat_id = ?", (self.seat_id,))
        if bool(there) != self.again:
            raise ConflictError(
                "That kit was posted already." if there else "No kit was posted for that seat yet.",
                hint="Say that it is sent again." if there else "Post it first.",
                field="again",
            )
        tx.insert(
            "parcel",
            {
                "seat_id": self.seat_id,
                "posted_on": day.isoformat(),
                "proof": self.proof,
                "sent_again": int(self.again),
                "created_at": tx.now_text,
            },
        )
        tx.update("seat", self.seat_id, {"kit": "posted"})
        run_id = begin_run(tx, kit_class)
        row = tx.first("SELECT * FROM kit_step WHERE kit_run_id = ? AND step = 'post'", (run_id,))
        if row is None:
            raise ConflictError(
                f"The kits of {ref('class_date', class_date_id)} are not mailed.",
                hint="Hand it over, or let the class mail its kits.",
            )
        warnings = use_things(tx, kit_class, "post", 1)
        if not self.again:
            warnings = not_done_before(tx, kit_class, run_id, "post", row["done"] + 1) + warnings
            tx.update("kit_step", row["id"], {"done": row["done"] + 1})
            tick_tasks(tx, kit_class, ("post",))
        where = ref("class_date", class_date_id)
        return KitsKept(
            summary=f"Posted a kit of {where}{' again' if self.again else ''}",
            said=f"A kit of {where} is posted{' again' if self.again else ''}.",
            warnings=warnings,
            class_date_id=class_date_id,
            done=row["done"] + (not self.again),
        )


class ReturnKits(Request[KitsKept]):
    """Take whole kits apart after the class: their things go back to stock, their cut pieces to another class.

    to_class_id: a class that makes the same parts; its pieces to cut are fewer by those. None: the pieces are kept as
    samples or practice.
    """

    class_date_id: int
    kits: Annotated[int, Field(ge=1, le=10000)]
    to_class_id: int | None = None

    def run(self, tx: Transaction) -> KitsKept:
        kit_class = class_with_bill(tx, self.class_date_id)
        run_id = begin_run(tx, kit_class)
        bagged = tx.value("SELECT done FROM kit_step WHERE kit_run_id = ? AND step = 'bag' AND part = ''", (run_id,))
        if self.kits > bagged:
            raise ConflictError(
                f"{bagged} kits were bagged for {ref('class_date', self.class_date_id)}.",
                hint="Give that many or fewer.",
                field="kits",
            )
        known = materials(tx)
        for part in kit_class.parts:
            if part.step == "bag" and part.line.per is LinePer.KIT and part.line.material_id == part.material_id:
                back = part.line.quantity * self.kits
                move(tx, part.material_id, WHOLE, back, "left over", self.class_date_id)
        given = 0
        if self.to_class_id is not None:
            other = class_with_bill(tx, self.to_class_id)
            other_run = begin_run(tx, other)
            for part in kit_class.parts:
                if part.step == "cut" and known[part.material_id].form is not Form.EACH:
                    given += _give_pieces(tx, other_run, part.line.part, part.line.quantity * self.kits)
            tick_tasks(tx, other, ("cut",))
        where = ref("class_date", self.class_date_id)
        to = (
            f"; {counted(given, 'piece goes', 'pieces go')} to {ref('class_date', self.to_class_id)}"
            if self.to_class_id is not None
            else ""
        )
        return KitsKept(
            summary=f"Took {self.kits} kits of {where} apart",
            said=f"{self.kits} kits of {where} are taken apart and their things back in stock{to}.",
            class_date_id=self.class_date_id,
            done=self.kits,
        )


def class_with_bill(tx: Transaction, class_date_id: int) -> KitClass:
    """The class with its parts; raises NotFoundError, or ConflictError where its project has no bill or it is off."""
    found(tx, "class_date", class_date_id)
    kit_class = kit_classes(tx, only=class_date_id).get(class_date_id)
    if kit_class is None:
        raise ConflictError(
            f"{ref('class_date', class_date_id)} has no bill of materials, or is cancelled.",
            hint="Set the bill of its project, and let the class take the new version.",
            field="class_date_id",
        )
    return kit_class


def begin_run(tx: Transaction, kit_class: KitClass) -> int:
    """The number of the class's kit run, made or brought to the kits and parts of now; what is done stays."""
    run_id = tx.value("SELECT id FROM kit_run WHERE class_date_id = ?", (kit_class.id,))
    kits = kit_class.heads.kits
    if run_id is None:
        run_id = tx.insert("kit_run", {"class_date_id": kit_class.id, "kits": kits, "begun_at": tx.now_text})
    else:
        tx.update("kit_run", run_id, {"kits": kits})
    there = {
        (row["step"], row["part"]): row for row in tx.rows("SELECT * FROM kit_step WHERE kit_run_id = ?", (run_id,))
    }
    for position, (key, count) in enumerate(kit_class.steps_wanted().items(), 1):
        if key in there:
            tx.update("kit_step", there[key]["id"], {"wanted": count, "position": position})
        else:
            tx.insert(
                "kit_step",
                {"kit_run_id": run_id, "position": position, "step": key[0], "part": key[1], "wanted": count},
            )
    return int(run_id)


def not_done_before(tx: Transaction, kit_class: KitClass, run_id: int, step: str, done: int) -> tuple[str, ...]:
    """A note that names the steps before `step` that are not done for so many kits; none where all are.

    Pieces of a part are cut for so many kits when they are that share of all that is cut of it, rounded up. Work
    ahead and sorting count where the class has a task for them.
    """
    own = steps_with_tasks(tx, kit_class.id)
    rows = tx.rows("SELECT step, part, wanted, done FROM kit_step WHERE kit_run_id = ? AND wanted > 0", (run_id,))
    kits = max(1, kit_class.heads.kits)
    left = set()
    for row in rows:
        needed = min(row["wanted"], -(-row["wanted"] * done // kits)) if row["part"] else min(row["wanted"], done)
        if row["done"] < needed and (row["step"] in own or row["step"] not in ("pre-work", "sort")):
            left.add(row["step"])
    before = [name for name in ("cut", *STEPS[: STEPS.index(step)]) if name in left]
    if not before:
        return ()
    # All of them would read as a list of the whole work; the first is where to look.
    more = f" nor {counted(len(before) - 1, 'more step')} before this one" if before[1:] else ""
    return (f"{before[0]} is not done for {counted(done, 'kit')} yet{more}.",)


def _give_pieces(tx: Transaction, run_id: int, part: str, count: int) -> int:
    """Count pieces as cut for another run; gives how many it could use."""
    row = tx.first("SELECT * FROM kit_step WHERE kit_run_id = ? AND step = 'cut' AND part = ?", (run_id, part))
    if row is None:
        return 0
    used = min(count, max(0, row["wanted"] - row["done"]))
    tx.update("kit_step", row["id"], {"done": row["done"] + used})
    return int(used)


def use_things(tx: Transaction, kit_class: KitClass, step: str, kits: int) -> tuple[str, ...]:
    """Take the things of so many kits out of stock, or back where `kits` is below nought; what is not there is said."""
    warnings = []
    for part in kit_class.parts:
        if part.step != step or not kits:
            continue
        share = part.line.quantity if part.material_id == part.line.material_id else 0
        change = share * kits
        if part.line.per is LinePer.CLASS:
            change = 0
        if not share:
            continue
        there = on_hand(tx, part.material_id)[WHOLE]
        if change > there:
            name = text(found(tx, "material", part.material_id), "name")
            warnings.append(f"{name}: {change} are used, but {there} were counted as on hand. Count them.")
            change = there
        if change:
            move(tx, part.material_id, WHOLE, -change, "kit", kit_class.id)
    return tuple(warnings)
