"""Any row of actions taken back gives the old state, made again the new one; seats are never exceeded."""

from __future__ import annotations

import datetime as dt
import random
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.commands.bookings import Book, CancelBooking, MarkSeat, NameSeat, SettleBooking
from scheduling.commands.classes import ChangeClassDate, MoveClassDate, RunAgain
from scheduling.commands.costs import SetClassMoney
from scheduling.commands.decisions import Decide
from scheduling.commands.importing import KeepSignUps
from scheduling.commands.newcomers import BookNewcomer
from scheduling.commands.offers import AcceptOffer, OfferSeats, RefuseOffer
from scheduling.commands.parties import AddCharge, DropCharge, GiveFinalCount
from scheduling.commands.payments import GiveCredit, GiveRefund, SettleByTerms, TakePayment, UseCredit
from scheduling.commands.people import AddPerson, ChangePerson, RetirePerson
from scheduling.commands.prep import AddTask, DropTask, LogMinutes, TickTask
from scheduling.commands.projects import AddProject, ChangeProject, RetireProject
from scheduling.commands.promotions import AddPromotion, EndPromotion
from scheduling.commands.recipes import AddRecipeLine, ChangeRecipeLine, CopyRecipe, RetireRecipeLine
from scheduling.commands.request import Request
from scheduling.commands.settings import ChangeStudio, ChangeWorkingDay, CloseDays, OpenDay
from scheduling.commands.transfers import AnswerAgain, TransferBooking, TransferSeat
from scheduling.commands.undoing import Redo, Undo
from scheduling.commands.venues import ChangeVenue, RetireVenue
from scheduling.errors import ConflictError, NotFoundError, SchedulingError
from scheduling.model.taking_in import PersonEntry, SignUpEntry
from scheduling.studio import Studio
from tests.support.builders import a_studio, book, class_date, dump, local, person

FEWER = settings(max_examples=max(10, settings().max_examples // 4))
"""An example is a whole studio with many actions, so some give what many do elsewhere."""

RISING = frozenset({"sequence", "modified_at"})
Maker = Callable[[random.Random], Request[Any]]


def some(rng: random.Random, most: int = 4) -> int:
    """A row number that may or may not be there."""
    return rng.randint(1, most)


def a_day(rng: random.Random) -> str:
    return (dt.date(2027, 3, 1) + dt.timedelta(days=rng.randint(0, 60))).isoformat()


def a_move(rng: random.Random) -> MoveClassDate:
    days = sorted({a_day(rng) for _ in range(rng.randint(1, 3))})
    return MoveClassDate(
        class_date_id=some(rng), sessions=tuple((local(day, "10:00"), local(day, "12:00")) for day in days)
    )


def a_file(rng: random.Random) -> KeepSignUps:
    people = tuple(PersonEntry(name=f"From a file {rng.randint(1, 9)}") for _ in range(3))
    rows = tuple(
        SignUpEntry(
            row=n, key=str(rng.randint(1, 10**9)), person=n, class_date_id=rng.randint(1, 2), class_text="",
            heads=rng.randint(1, 3), state="confirmed", what="new", about="",
        )
        for n in range(3)
    )  # fmt: skip
    return KeepSignUps(source="file.csv", digest=str(rng.random()), people=people, sign_ups=rows)


def a_later_file(rng: random.Random) -> KeepSignUps:
    """One that takes away or changes what a file before it booked, or another booking."""
    entry = SignUpEntry(
        row=1, key="later", person=0, class_date_id=1, class_text="", heads=1, booking_id=some(rng, 6), about="",
        state=rng.choice(["confirmed", "cancelled"]), what="changed",
    )  # fmt: skip
    people = (PersonEntry(name="Ann", person_id=1),)
    return KeepSignUps(source="file.csv", digest=str(rng.random()), people=people, sign_ups=(entry,))


def an_early_bird(rng: random.Random) -> AddPromotion:
    return AddPromotion(
        name=f"N{rng.randint(1, 9)}", kind="early bird", off_minor=rng.randint(1, 900), classes=(some(rng, 2),),
        ends_days_before=rng.randint(0, 9), first_heads=rng.choice([None, 2]),
    )  # fmt: skip


def a_bundle(rng: random.Random) -> AddPromotion:
    return AddPromotion(name=f"N{rng.randint(1, 9)}", kind="bundle", off_minor=700, ones=(1,), others=(2,))


SEATS_AND_MONEY: tuple[Maker, ...] = (
    lambda rng: TakePayment(booking_id=some(rng, 6), amount_minor=rng.choice([None, 500])),
    lambda rng: GiveRefund(booking_id=some(rng, 6), amount_minor=rng.choice([None, 100]), past_terms=True),
    lambda rng: GiveCredit(booking_id=some(rng, 6), amount_minor=rng.choice([None, 100]), past_terms=True),
    lambda rng: UseCredit(credit_id=some(rng, 2), booking_id=some(rng, 6)),
    lambda rng: SettleByTerms(booking_id=some(rng, 8)),
    lambda rng: AddCharge(booking_id=some(rng, 6), what=f"x{some(rng, 2)}", amount_minor=rng.randint(1, 900)),
    lambda rng: DropCharge(booking_id=some(rng, 6), what=f"x{some(rng, 2)}"),
    lambda rng: SetClassMoney(class_date_id=some(rng, 2), overtime_minor=rng.randint(0, 900), host_free_from=2),
    lambda rng: GiveFinalCount(booking_id=some(rng, 6), heads=some(rng), over_the_list=True),
    lambda rng: ChangeClassDate(class_date_id=some(rng, 2), private_party=rng.random() < 0.7),
    lambda rng: ChangeClassDate(class_date_id=some(rng, 2), guardians_stay=rng.random() < 0.5),
    lambda rng: BookNewcomer(
        person=AddPerson(name=f"New {rng.randint(1, 99)}"),
        class_date_id=some(rng, 3),
        others=(None,),
        over_the_list=True,
    ),
    lambda rng: CancelBooking(booking_id=some(rng, 6), offer_on=True),
    lambda rng: OfferSeats(class_date_id=some(rng, 2)),
    lambda rng: AcceptOffer(booking_id=some(rng, 6)),
    lambda rng: RefuseOffer(booking_id=some(rng, 6), stays_waiting=rng.random() < 0.5),
    lambda rng: TransferBooking(booking_id=some(rng, 6), class_date_id=some(rng, 2), over_the_list=True),
    lambda rng: TransferSeat(seat_id=some(rng, 8), person_id=some(rng)),
    lambda rng: AnswerAgain(
        booking_id=some(rng, 6),
        answer=rng.choice(["stays", "leaves"]),
        seat_ids=rng.choice([(), (some(rng, 8),)]),
        offer_on=rng.random() < 0.5,
    ),
    lambda rng: Decide(class_date_id=some(rng, 2), choice=rng.choice(["run", "run reduced", "call off"])),
    lambda rng: EndPromotion(promotion_id=some(rng, 2), back=rng.random() < 0.5),
    an_early_bird,
    a_bundle,
    a_later_file,
    a_move,
)

MAKERS: tuple[Maker, ...] = (
    *SEATS_AND_MONEY,
    lambda rng: AddPerson(name=f"P{rng.randint(1, 99)}", health_note=rng.choice(["", "nuts"])),
    lambda rng: ChangePerson(person_id=some(rng), phone=str(rng.randint(1, 3)), photos=rng.choice(["yes", "no"])),
    lambda rng: ChangePerson(person_id=some(rng), guardian_id=rng.choice([None, some(rng)])),
    lambda rng: RetirePerson(person_id=some(rng), back=rng.random() < 0.5),
    lambda rng: Book(
        class_date_id=some(rng, 3),
        payer_id=some(rng),
        people=(None,) * rng.randint(1, 3),
        over_the_list=rng.random() < 0.5,
        state=rng.choice(["enquiry", "held", "confirmed", "waitlist"]),
    ),
    lambda rng: Book(class_date_id=some(rng, 3), payer_id=some(rng)),
    lambda rng: CancelBooking(booking_id=some(rng, 6)),
    lambda rng: CancelBooking(booking_id=some(rng, 6), seat_ids=(some(rng, 8),)),
    lambda rng: SettleBooking(booking_id=some(rng, 6), over_the_list=rng.random() < 0.5),
    lambda rng: NameSeat(seat_id=some(rng, 8), person_id=rng.choice([None, some(rng)])),
    lambda rng: MarkSeat(seat_id=some(rng, 8), mark=rng.choice(["", "attended", "no-show"])),
    lambda rng: ChangeClassDate(class_date_id=some(rng), seats=rng.randint(0, 5), minimum=0),
    lambda rng: ChangeClassDate(class_date_id=some(rng), mailed_kit=rng.random() < 0.5, title=f"T{rng.randint(1, 3)}"),
    a_move,
    a_file,
    lambda rng: Decide(class_date_id=some(rng), choice="call off"),
    lambda rng: RunAgain(class_date_id=some(rng), first_day=dt.date.fromisoformat(a_day(rng))),
    lambda rng: TickTask(task_id=some(rng, 20), done=rng.random() < 0.7, minutes=rng.choice([None, 30])),
    lambda rng: DropTask(task_id=some(rng, 20), back=rng.random() < 0.4),
    lambda rng: LogMinutes(task_id=some(rng, 20), minutes=15),
    lambda rng: AddTask(class_date_id=some(rng), title="Own", minutes=5, due_day=dt.date(2027, 3, 1)),
    lambda rng: AddProject(title=f"New {rng.randint(1, 9)}"),
    lambda rng: ChangeProject(project_id=some(rng), description=str(rng.randint(1, 3))),
    lambda rng: RetireProject(project_id=some(rng), back=rng.random() < 0.5),
    lambda rng: ChangeVenue(venue_id=some(rng), address=str(rng.randint(1, 3))),
    lambda rng: RetireVenue(venue_id=some(rng), back=rng.random() < 0.5),
    lambda rng: ChangeRecipeLine(line_id=some(rng, 30), title=f"L{rng.randint(1, 3)}", days=-rng.randint(1, 30)),
    lambda rng: AddRecipeLine(recipe_id=some(rng, 2), title="More", days=-3, minutes=10),
    lambda rng: RetireRecipeLine(line_id=some(rng, 30), back=rng.random() < 0.5),
    lambda rng: CopyRecipe(recipe_id=some(rng, 2), name=f"R{rng.randint(1, 9)}"),
    lambda rng: CloseDays(first=dt.date(2027, 3, rng.randint(1, 5)), last=dt.date(2027, 3, rng.randint(5, 8))),
    lambda rng: OpenDay(closed_day_id=some(rng, 5)),
    lambda rng: ChangeStudio(town=str(rng.randint(1, 3)), spare_least=rng.randint(0, 3)),
    lambda rng: ChangeWorkingDay(weekday=rng.randint(1, 7), hours=rng.choice(["", "9-12"])),
)


def begun() -> Studio:
    studio = a_studio()
    for day in ("2027-03-13", "2027-04-03"):
        class_date(studio, day, seats=3)
    for name in ("Ann", "Bo", "Cy"):
        person(studio, name)
    book(studio, 1, 1)
    book(studio, 1, 2, heads=2)
    book(studio, 1, 3)
    studio.do(TakePayment(booking_id=1))
    studio.do(GiveCredit(booking_id=1, amount_minor=300, past_terms=True))
    return studio


def state(studio: Studio) -> dict[str, list[dict[str, object]]]:
    """All that undo is to restore: everything but the history, the counters that only rise, and the order of rows."""
    found = dump(studio, without=RISING)
    del found["history"], found["history_part"]
    return {table: sorted(rows, key=lambda row: str(row.get("id"))) for table, rows in found.items()}


def never_too_many(studio: Studio) -> None:
    rows = dump(studio)
    for one in rows["class_date"]:
        heads = sum(
            seat["given_up_at"] is None
            for booking in rows["booking"]
            if booking["class_date_id"] == one["id"] and booking["state"] in ("held", "deposit", "confirmed", "offered")
            for seat in rows["seat"]
            if seat["booking_id"] == booking["id"]
        )
        assert heads <= one["seats"]  # type: ignore[operator]  # a column of whole numbers


def risen(studio: Studio) -> Iterator[tuple[object, object]]:
    rows = dump(studio)
    for table in ("class_date", "task"):
        for row in rows[table]:
            yield (table, row["public_id"]), row["sequence"]


@FEWER
@given(st.integers(0, 2**32), st.integers(1, 12))
def test_taking_back_all_of_them_gives_the_old_states_and_making_them_again_the_new_ones(seed: int, many: int) -> None:
    rng = random.Random(seed)
    with begun() as studio:
        states = [state(studio)]
        for _ in range(many):
            try:
                outcome = studio.do(rng.choice(MAKERS)(rng))
            except SchedulingError:
                assert state(studio) == states[-1], "what is refused leaves no trace"
                continue
            never_too_many(studio)
            if outcome.history_id:
                states.append(state(studio))
        sequences = dict(risen(studio))
        for before in reversed(states[:-1]):
            studio.do(Undo())
            assert state(studio) == before
            never_too_many(studio)
        for after in states[1:]:
            studio.do(Redo())
            assert state(studio) == after
        assert all(number >= sequences[key] for key, number in risen(studio))  # type: ignore[operator]
        with pytest.raises(NotFoundError):
            studio.do(Redo())


@FEWER
@given(st.integers(0, 2**32))
def test_taking_back_any_of_them_restores_its_rows_or_is_refused_with_nothing_changed(seed: int) -> None:
    rng = random.Random(seed)
    refusals: list[str] = []
    with begun() as studio:
        for _ in range(12):
            before = state(studio)
            try:
                if rng.random() < 0.4:
                    studio.do(Undo(history_id=rng.randint(1, studio.revision)))
                elif rng.random() < 0.2:
                    studio.do(Redo())
                else:
                    studio.do(rng.choice(MAKERS)(rng))
            except SchedulingError as error:
                refusals.append(str(error))
                assert state(studio) == before
            never_too_many(studio)
    assert [said for said in refusals if "constraint failed" in said] == [], "a refusal names what stands in the way"


def test_every_action_of_the_row_is_done_somewhere() -> None:
    done: set[str] = set()
    for seed in range(40):
        rng = random.Random(seed)
        with begun() as studio:
            for maker in (*rng.sample(MAKERS, len(MAKERS)), *rng.sample(SEATS_AND_MONEY, len(SEATS_AND_MONEY)) * 3):
                command = maker(rng)
                try:
                    done |= {type(command).__name__} if studio.do(command).history_id else set()
                except (ConflictError, SchedulingError):
                    continue
        if len(done) == len({type(maker(rng)).__name__ for maker in MAKERS}):
            return
    raise AssertionError(f"never done: { {type(maker(rng)).__name__ for maker in MAKERS} - done }")
