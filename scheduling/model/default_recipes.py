"""The two recipes that a new studio starts with; every line may be changed there.

Source: job.md, table 1 and section 4; decisions 18, 19, 20 and 24. Ranges are turned into one number each. The day of
the class itself (travel, set-up, teaching, clear-down) is no line: it is busy time that comes with the class.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

from scheduling.model.kinds import WAYS, Kind
from scheduling.model.prep import After, Batch, Effort, Factor, Line, Per, Phase, Rate, Recipe, bridged
from scheduling.model.prep_dates import Aim, Anchor, Counting, Timing
from scheduling.model.waits import Wait, WaitUnit

_ROOM = (Kind.ROOM,)
_LIVE = (Kind.LIVE,)
_MAILED = (Kind.MAILED,)
_RECORDED = (Kind.RECORDED,)
_CHILDREN = (Kind.CHILDREN,)
_PARTY = (Kind.PARTY,)
# With people who sign up and kits made for them; a recorded class alone has neither.
_PEOPLE = (Kind.ROOM, Kind.LIVE, Kind.MAILED)

_DRYING = Wait(12, WaitUnit.HOURS)
_OVERNIGHT = Wait(1, WaitUnit.CALENDAR_DAYS)
_FINDING_TESTERS = Wait(7, WaitUnit.CALENDAR_DAYS)
_VENUE_REPLY = Wait(3, WaitUnit.CALENDAR_DAYS)
_PROOF = Wait(5, WaitUnit.CALENDAR_DAYS)
_PRINT_SHOP = Wait(2, WaitUnit.CALENDAR_DAYS)
_UPLOAD = Wait(1, WaitUnit.CALENDAR_DAYS)
_LEAD = Wait(0, WaitUnit.SUPPLIER_LEAD)


def _minutes(fixed: int = 0, **rates: str) -> Effort:
    """Minutes from plain numbers; a rate is named for what it is counted by, as `class_minute="2.5"`."""
    return Effort(Decimal(fixed), tuple(Rate(Decimal(minutes), Per[name.upper()]) for name, minutes in rates.items()))


def _after(*keys: str, **waits: Wait) -> tuple[After, ...]:
    return (*(After(key) for key in keys), *(After(key, wait) for key, wait in waits.items()))


def _slower(kind: Kind) -> tuple[Factor, ...]:
    """Half as long again (job.md 1, "Differences").

    Live online, for what is written and sent; children, for the pre-work, of which they get more. Work counted by the
    class-minute takes no factor: the class's own length holds it already.
    """
    return (Factor(kind, Decimal("1.5")),)


def _by(days: int, *, window: int | None = None, mailed: int | None = None) -> Timing:
    """By T-`days`; with `mailed`, by so many days before post-by where kits are posted."""
    aim = None if mailed is None else Aim(Anchor.POST_BY, -mailed)
    return Timing(Aim(Anchor.CLASS_START, -days), mailed_aim=aim, window_days=window)


def _to(anchor: Anchor, days: int = 0, *, window: int | None = None) -> Timing:
    """By `days` from an anchor past which the work is late."""
    return Timing(Aim(anchor, days), hard=Aim(anchor), window_days=window)


def _promoted(days: int, *, window: int | None = None) -> Timing:
    return Timing(Aim(Anchor.PROMOTION_END, days), window_days=window)


def _post_by(anchor: Anchor) -> Timing:
    """By an anchor, on a day on which mail is taken."""
    return Timing(Aim(anchor, counting=Counting.MAILING), hard=Aim(anchor))


def _for_release(days: int) -> Timing:
    return Timing(Aim(Anchor.RELEASE, -days))


def _afterwards(days: int) -> Timing:
    return Timing(Aim(Anchor.LAST_SESSION, days), after_class=True)


def _line(
    key: str,
    title: str,
    phase: Phase,
    timing: Timing,
    minutes: Effort,
    after: tuple[After, ...] = (),
    kinds: Iterable[Kind] = WAYS,
    batch: Batch = Batch.NO,
    *,
    again: Effort | None = None,
    not_for: tuple[Kind, ...] = (),
    factors: tuple[Factor, ...] = (),
    advice: bool = False,
    one_sitting: bool = False,
    hired_only: bool = False,
    announces: bool = False,
) -> Line:
    return Line(
        key,
        title,
        phase,
        timing,
        first=minutes,
        again=again,
        after=after,
        kinds=tuple(kinds),
        not_for=not_for,
        factors=factors,
        batch=batch,
        advice=advice,
        one_sitting=one_sitting,
        hired_only=hired_only,
        announces=announces,
    )


_ANY = Batch.CLASSES
_SAME = Batch.PROJECT
_PROJECT, _SIGN_UPS, _STOCK, _FILM, _KITS, _CLASS, _AFTERWARDS = Phase

FIRST_TIME = Recipe(
    "first time",
    (
        # The project
        _line("choose", "Choose project and level", _PROJECT, _by(90), _minutes(60), batch=_ANY, advice=True),
        _line(
            "first_model", "Make and time the first model", _PROJECT, _by(84),
            _minutes(class_minute="2.5"), _after("choose")
        ),
        _line(
            "trial", "Trial run with testers", _PROJECT, _by(70),
            _minutes(30, class_minute="1"), _after(first_model=_FINDING_TESTERS)
        ),
        _line(
            "venue", "Ask, visit and book the venue", _PROJECT, _by(70),
            _minutes(120), _after("choose"), _ROOM, _ANY, hired_only=True
        ),
        _line(
            "materials", "Write bill of materials and cut list", _PROJECT, _by(68),
            _minutes(60), _after("first_model"), batch=_SAME
        ),
        _line(
            "costing", "Set cost per head, fee and minimum", _PROJECT, _by(66),
            _minutes(30), _after("materials", venue=_VENUE_REPLY), batch=_ANY
        ),
        _line("clashes", "Check the date for clashes", _PROJECT, _by(66), _minutes(20), batch=_ANY, advice=True),
        _line(
            "risks", "Write risk notes, check insurance", _PROJECT, _by(63),
            _minutes(30), _after("choose", venue=_VENUE_REPLY), _ROOM
        ),
        _line(
            "checks", "Ask for background checks", _PROJECT,
            # An answer takes two weeks at the least.
            Timing(Aim(Anchor.CLASS_START, -63), hard=Aim(Anchor.CLASS_START, -14)),
            _minutes(15), kinds=_CHILDREN, batch=_ANY
        ),
        _line(
            "stock_check", "Check stock and long leads", _STOCK, _by(60), _minutes(30), _after("materials"), batch=_ANY
        ),
        # Sign-ups
        _line(
            "listing", "Photograph sample, write listing", _SIGN_UPS, _by(58),
            _minutes(90), _after("first_model", "costing"), not_for=_PARTY, batch=_ANY, advice=True
        ),
        _line(
            "open", "Open sign-up, post to calendars", _SIGN_UPS, Timing(Aim(Anchor.SIGN_UP_OPEN)),
            _minutes(45), _after("listing", venue=_VENUE_REPLY), not_for=_PARTY, batch=_ANY, advice=True
        ),
        _line(
            "announce", "Announce the class", _SIGN_UPS, Timing(Aim(Anchor.SIGN_UP_OPEN)),
            _minutes(45), _after("open"), not_for=_PARTY, batch=_ANY, advice=True, announces=True
        ),
        _line(
            "post_28", "Post again, four weeks to go", _SIGN_UPS, _by(28, window=3),
            _minutes(15), _after("announce"), not_for=_PARTY, batch=_ANY, advice=True, announces=True
        ),
        _line(
            "post_14", "Post again, two weeks to go", _SIGN_UPS, _by(14, window=3),
            _minutes(15), _after("announce"), not_for=_PARTY, batch=_ANY, advice=True, announces=True
        ),
        _line(
            "post_7", "Post the last seats", _SIGN_UPS, _by(7, window=3),
            _minutes(15), _after("announce"), not_for=_PARTY, batch=_ANY, advice=True, announces=True
        ),
        # Promotions: each day is counted from the promotion's last
        _line(
            "promotion_picture", "Make the picture for the promotion", _SIGN_UPS, _promoted(-7),
            _minutes(15), _after("announce"), not_for=_PARTY, batch=_ANY, advice=True, announces=True
        ),
        _line(
            "promotion_posts", "Schedule the promotion's last posts", _SIGN_UPS, _promoted(-5),
            _minutes(10), _after("promotion_picture"), not_for=_PARTY, batch=_ANY, advice=True, announces=True
        ),
        _line(
            "early_bird", "Remind: the promotion ends", _SIGN_UPS, _to(Anchor.PROMOTION_END, -2, window=3),
            _minutes(15), _after("announce"), not_for=_PARTY, batch=_ANY, announces=True
        ),
        _line(
            "promotion_close", "Put the full fee back in the listing", _SIGN_UPS, _promoted(0, window=0),
            _minutes(5), not_for=_PARTY, batch=_ANY
        ),
        _line(
            "promotion_settle", "Settle what the promotion cost", _SIGN_UPS, _promoted(1, window=0),
            _minutes(10), not_for=_PARTY, batch=_ANY, advice=True
        ),
        _line(
            "promotion_thank", "Thank those who booked early", _SIGN_UPS, _promoted(2, window=1),
            _minutes(10), not_for=_PARTY, batch=_ANY, advice=True
        ),
        # Instructions and stock
        _line(
            "instructions", "Write instructions, photograph steps", _PROJECT, _by(38),
            _minutes(240), _after("trial"), batch=_SAME, again=_minutes(15), factors=_slower(Kind.LIVE)
        ),
        _line(
            "order", "Order materials", _STOCK, Timing(Aim(Anchor.CLASS_START, -35), hard=Aim(Anchor.ORDER_BY)),
            _minutes(30, supplier="10"), _after("materials", "stock_check"), batch=_ANY
        ),
        _line(
            "receive", "Receive, count, mark grain", _STOCK, _by(21),
            _minutes(20, supplier="10"), _after(order=_LEAD), batch=_ANY
        ),
        # Film
        _line(
            "script", "Write script and shot list", _FILM, _for_release(30),
            _minutes(120), _after("instructions"), _RECORDED, _SAME, advice=True
        ),
        _line(
            "film", "Film the class", _FILM, _for_release(23),
            _minutes(film_minute="3"), _after("script"), _RECORDED, _SAME, advice=True, one_sitting=True
        ),
        _line(
            "edit", "Edit the film", _FILM, _for_release(12),
            _minutes(film_minute="8"), _after("film"), _RECORDED, _SAME, advice=True
        ),
        _line(
            "captions", "Write the captions", _FILM, _for_release(9),
            _minutes(film_minute="3"), _after("edit"), _RECORDED, _SAME, advice=True
        ),
        _line(
            "upload", "Upload film, set end of access", _FILM, _for_release(3),
            _minutes(20), _after("captions"), _RECORDED, _SAME, advice=True
        ),
        _line(
            "try_film", "Watch the film as a buyer would", _FILM, _for_release(1),
            _minutes(film_minute="1"), _after(upload=_UPLOAD), _RECORDED, _SAME, advice=True
        ),
        # Decisions
        _line(
            "confirm_venue", "Confirm the venue", _CLASS, _by(14, window=3),
            _minutes(10), _after(venue=_VENUE_REPLY), _ROOM, _ANY, hired_only=True
        ),
        _line(
            "go_no_go", "Decide go or no-go", _SIGN_UPS, _to(Anchor.GO_NO_GO, window=3), _minutes(15), kinds=_PEOPLE
        ),
        _line(
            "answers", "Read access and allergy answers", _CLASS, _by(10, window=4), _minutes(10, head="1"),
            kinds=_PEOPLE
        ),
        _line(
            "final_count", "Ask the host for final heads, balance", _SIGN_UPS, _to(Anchor.FINAL_COUNT, window=5),
            _minutes(15), kinds=_PARTY
        ),
        # Kits
        _line(
            "print", "Print handouts and labels", _KITS, _by(10, mailed=5),
            _minutes(20, kit="1"), _after(instructions=_PROOF), _PEOPLE, _ANY
        ),
        _line(
            "cut", "Cut all pieces", _KITS, _by(9, mailed=5),
            _minutes(material="15", piece="0.4"), _after("receive"), _PEOPLE, _ANY
        ),
        _line(
            "pre_work", "Score, fold, punch, glue ahead", _KITS, _by(8, mailed=4),
            _minutes(15, kit="5"), _after("cut"), _PEOPLE, _SAME, factors=_slower(Kind.CHILDREN)
        ),
        _line(
            "sort", "Sort into trays and count", _KITS, _by(7, mailed=2),
            _minutes(10, kit="1"), _after("cut", pre_work=_DRYING), _PEOPLE, _SAME
        ),
        _line(
            "bag", "Bag and label", _KITS, _by(7, mailed=2),
            _minutes(10, kit="2.5"), _after("sort", print=_PRINT_SHOP), _PEOPLE, _SAME
        ),
        # A second pass is made with fresh eyes.
        _line(
            "check", "Check kits again and seal", _KITS, _by(6, mailed=1),
            _minutes(5, kit="1.5"), _after(bag=_OVERNIGHT), _PEOPLE, _SAME
        ),
        # One or two kits made by hand ahead of the rest, with the customs form.
        _line(
            "post_abroad", "Make up and post kits for abroad", _KITS, _post_by(Anchor.POST_BY_ABROAD),
            _minutes(60), _after("receive"), _MAILED, one_sitting=True
        ),
        _line(
            "post", "Pack, weigh and post kits", _KITS, _post_by(Anchor.POST_BY),
            _minutes(20, head="5"), _after("check"), _MAILED, _ANY, one_sitting=True
        ),
        _line(
            "arrived", "Ask whether the kits have come", _KITS, _by(4, window=1),
            _minutes(10, head="0.5"), _after("post"), _MAILED
        ),
        # Towards the class
        _line(
            "remind_week", "Send reminder: place, time, what to take", _CLASS, _by(7, window=2),
            _minutes(15, head="0.2"), _after("go_no_go"), _PEOPLE, _ANY, factors=_slower(Kind.LIVE)
        ),
        _line(
            "answers_again", "Read answers again, adjust plans", _CLASS, _by(2, window=2),
            _minutes(10, head="1"), _after("answers"), _PEOPLE
        ),
        _line(
            "roster", "Print roster, name tags and lists", _CLASS, _by(2, window=1),
            _minutes(15, head="0.5"), _after("answers_again"), _ROOM, _ANY
        ),
        _line(
            "tools", "Count tools, change blades, fill glue", _CLASS, _by(2),
            _minutes(30, head="1"), _after("pre_work"), _ROOM, _ANY
        ),
        _line(
            "rehearse", "Rehearse camera, sound and link", _CLASS, _by(2),
            _minutes(60), kinds=_LIVE, batch=_ANY, one_sitting=True
        ),
        _line(
            "confirm_again", "Confirm the venue again", _CLASS, _by(1, window=1),
            _minutes(5), _after("confirm_venue"), _ROOM, hired_only=True
        ),
        _line(
            "remind_day", "Send the last reminder", _CLASS, _by(1, window=1),
            _minutes(15, head="0.2"), _after("remind_week"), _PEOPLE, _ANY, factors=_slower(Kind.LIVE)
        ),
        _line(
            "load", "Load by checklist", _CLASS, _by(1, window=2),
            _minutes(40, kit="0.5"), _after("check", "roster", "tools"), _ROOM, one_sitting=True, hired_only=True
        ),
        # Afterwards
        _line(
            "unpack", "Unpack, count tools, log minutes", _AFTERWARDS, _afterwards(1),
            _minutes(40, head="0.5"), kinds=_PEOPLE, batch=_ANY
        ),
        _line(
            "thank", "Send thanks, photos, next dates", _AFTERWARDS, _afterwards(2),
            _minutes(20), kinds=_PEOPLE, batch=_ANY
        ),
        _line(
            "settle", "Settle money and tax record", _AFTERWARDS, _afterwards(5),
            _minutes(30), _after("unpack"), batch=_ANY
        ),
        _line(
            "learn", "Read feedback, mend the recipe", _AFTERWARDS, _afterwards(7),
            _minutes(20), _after("thank"), batch=_ANY
        ),
        _line(
            "tidy", "Clear lost property and health notes", _AFTERWARDS, _afterwards(30),
            _minutes(10), kinds=_PEOPLE, batch=_ANY
        ),
    ),
)  # fmt: skip


# fmt: off
_KEPT_AGAIN = frozenset({
    "open", "early_bird", "promotion_close", "instructions", "order", "receive", "confirm_venue", "go_no_go", "answers",
    "final_count",
    "print", "cut", "pre_work", "bag", "check", "post_abroad", "post", "arrived", "remind_week", "roster", "tools",
    "rehearse", "confirm_again", "remind_day", "load", "unpack", "thank", "settle",
})
# fmt: on


def _again(first_time: Recipe) -> Recipe:
    """The short recipe of a project that has run before.

    What was settled then is left out, some lines take over a neighbour's work, and the instructions need no proof.
    """
    lines = {line.key: line for line in bridged(first_time.lines, _KEPT_AGAIN)}
    lines |= {
        "open": replace(lines["open"], title="Open sign-up and announce"),
        "instructions": replace(lines["instructions"], title="Look over the instructions"),
        "order": replace(lines["order"], title="Check stock, order materials", first=_minutes(60, supplier="10")),
        "print": replace(lines["print"], after=_after("instructions")),
        "bag": replace(lines["bag"], title="Sort, bag and label", first=_minutes(20, kit="3.5")),
    }
    return Recipe("again", tuple(lines.values()))


AGAIN = _again(FIRST_TIME)
DEFAULT_RECIPES = (FIRST_TIME, AGAIN)
