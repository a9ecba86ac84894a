"""The verbs `reward` and `bench`."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling.amounts import read_money
from scheduling.commands.kit_rules import SetKitRules
from scheduling.commands.rewards import KeepReward, PoolSum, RetireReward
from scheduling.errors import InvalidError, NotFoundError
from scheduling.model.refs import ref, ref_id
from scheduling.queries.kit_shelves import KitRules
from scheduling.queries.order_proposals import reward_sentence
from scheduling.queries.orders import Rewards
from scheduling.queries.owed import Today
from scheduling.queries.reward_pages import RewardPages, WhatBasketEarns
from scheduling.queries.settings import Settings
from scheduling.studio import Studio
from scheduling.typed_supply import read_bands
from scheduling.words import counted, read_day, read_time, show_day
from tui.lines.answers import answer
from tui.lines.kit_named import supplier_named
from tui.lines.named import person_named
from tui.lines.out import say, show_outcome
from tui.lines.place import open_studio, studio_path
from tui.reward_entries import entries_of

_NUMBERS = ("order_buffer_days", "waste_percent", "heads_per_table")
_LENGTHS = ("kerf", "knife_kerf", "longest_cut", "smallest_strip", "keep")


def arguments(verb: str, parser: ArgumentParser) -> None:
    if verb == "bench":
        for name in _NUMBERS:
            parser.add_argument(f"--{name.replace('_', '-')}", dest=name, type=int)
        for name in _LENGTHS:
            parser.add_argument(f"--{name.replace('_', '-')}", dest=name, help="as typed, such as 1/32 or 0.8 mm")
        return
    parser.add_argument("deed", choices=("list", "add", "change", "pool", "try", "retire"), nargs="?", default="list")
    parser.add_argument("named", nargs="?", metavar="REWARD", help="a reference such as W01; for add the supplier")
    parser.add_argument("--what", help="add: what one is")
    parser.add_argument("--per", help="add: the sum of goods that earns one")
    parser.add_argument("--bands", help="add, change: of a tiered reward, such as '150 a roll worth 5; 650 two rolls'")
    parser.add_argument("--worth", help="add: what one is worth to you")
    parser.add_argument("--from", dest="first", metavar="DAY", help="add: the first day (today)")
    parser.add_argument("--until", metavar="DAY", help="add: the last day")
    parser.add_argument("--time", help="add: the hour of the last day")
    parser.add_argument("--held-from", metavar="DAY", help="add: the event must be held from then on")
    parser.add_argument("--held-until", metavar="DAY", help="add: and by then")
    parser.add_argument("--sum", help="pool: the sum of the other order, 0 takes it away; try: of a basket")
    parser.add_argument("--who", help="pool: whose order it is, where it is no attendee's")
    parser.add_argument("--attendee", help="pool: the attendee whose order it is")
    parser.add_argument("--paid", action="store_true", help="pool: it is paid")
    parser.add_argument("--back", action="store_true", help="retire: bring back")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        if parsed.verb == "bench":
            return _bench(studio, parsed)
        deeds = {"list": _list, "add": _add, "change": _change, "pool": _pool, "try": _try, "retire": _retire}
        return deeds[parsed.deed](studio, parsed)


def _bench(studio: Studio, parsed: Namespace) -> int:
    given = {name: getattr(parsed, name) for name in (*_NUMBERS, *_LENGTHS) if getattr(parsed, name) is not None}
    if given:
        return show_outcome(studio.do(SetKitRules(**given)), parsed)
    rules = studio.ask(KitRules())
    if parsed.json:
        print(answer("bench", rules=rules))
        return 0
    say(f"Goods come {counted(rules.order_buffer_days, 'day')} before they are needed; waste {rules.waste_percent}%.")
    say(f"A table seats {rules.heads_per_table}. Kerf {rules.kerf}, by knife {rules.knife_kerf}.")
    say(
        f"The trimmer cuts up to {rules.longest_cut} and holds {rules.smallest_strip}; off-cuts from {rules.keep} stay."
    )
    return 0


def _list(studio: Studio, parsed: Namespace) -> int:
    rows = studio.ask(Rewards())
    currency = studio.ask(Settings()).currency
    if parsed.json:
        entries = [
            {
                "ref": ref("reward", row.reward.id),
                "kind": row.reward.kind.value,
                "what": row.reward.what,
                "first_day": row.reward.first_day,
                "closes": row.reward.closes,
                "goods": currency.from_minor(row.goods),
                "earned": row.earned,
                "to_next": None if row.to_next is None else currency.from_minor(row.to_next),
            }
            for row in rows
        ]
        print(answer("rewards", currency=currency.code, rewards=entries))
        return 0
    if not rows:
        print("No supplier's reward is kept.")
    for row in rows:
        say(f"{ref('reward', row.reward.id)} from {show_day(row.reward.first_day)}: {reward_sentence(row, currency)}")
    return 0


def _add(studio: Studio, parsed: Namespace) -> int:
    if not parsed.named or not parsed.what or not (parsed.per or parsed.bands) or not parsed.until:
        raise InvalidError(
            "A reward needs its supplier, --what, --until, and --per or --bands.",
            hint="kitwright reward add U01 --what 'a free pack' --per 60 --until '26 feb'",
            field="what",
        )
    facts, today = studio.ask(Settings()), studio.ask(Today())

    def day(text: str, field: str) -> Any:
        return read_day(text, today=today, day_first=facts.day_first, field=field).value

    entries: dict[str, Any] = {
        "supplier_id": supplier_named(studio, parsed.named),
        "what": parsed.what,
        "first_day": day(parsed.first, "first_day") if parsed.first else today,
        "last_day": day(parsed.until, "last_day"),
    }
    if parsed.per:
        entries["per_minor"] = read_money(parsed.per, facts.currency, field="per").value
    if parsed.bands:
        entries |= {"kind": "tier", "bands": read_bands(parsed.bands, facts.currency).value}
    if parsed.worth:
        entries["worth_minor"] = read_money(parsed.worth, facts.currency, field="worth").value
    if parsed.time:
        entries["last_time"] = read_time(parsed.time, field="last_time").value
    if parsed.held_from or parsed.held_until:
        entries["kind"] = "two dates"
        entries["held_from"] = day(parsed.held_from, "held_from") if parsed.held_from else today
        entries["held_through"] = day(parsed.held_until, "held_through") if parsed.held_until else None
    return show_outcome(studio.do(KeepReward(**entries)), parsed)


def _reward_id(parsed: Namespace) -> int:
    if not parsed.named:
        raise InvalidError("Which reward?", hint="Name one such as W01; see: kitwright reward", field="reward")
    return ref_id(parsed.named, "reward", field="reward")


def _pool(studio: Studio, parsed: Namespace) -> int:
    if parsed.sum is None:
        raise InvalidError("How much is it?", hint="Give --sum.", field="amount")
    entries: dict[str, Any] = {
        "reward_id": _reward_id(parsed),
        "amount_minor": read_money(parsed.sum, studio.ask(Settings()).currency, field="amount").value,
        "paid": parsed.paid,
    }
    if parsed.attendee:
        entries["person_id"] = person_named(studio, parsed.attendee)
    if parsed.who:
        entries["who"] = parsed.who
    return show_outcome(studio.do(PoolSum(**entries)), parsed)


def _change(studio: Studio, parsed: Namespace) -> int:
    """The reward with the options that were given, all else as it is."""
    reward_id = _reward_id(parsed)
    page = next((one for one in studio.ask(RewardPages(with_retired=True)) if one.id == reward_id), None)
    if page is None:
        raise NotFoundError(f"There is no reward {ref('reward', reward_id)}.", hint="See: kitwright reward")
    facts, today = studio.ask(Settings()), studio.ask(Today())
    entries = entries_of(page)
    for name, field in (("first", "first_day"), ("until", "last_day"), ("held_from", "held_from"),
                        ("held_until", "held_through")):  # fmt: skip
        if typed := getattr(parsed, name):
            entries[field] = read_day(typed, today=today, day_first=facts.day_first, field=field).value
    for name in ("per", "worth"):
        if typed := getattr(parsed, name):
            entries[f"{name}_minor"] = read_money(typed, facts.currency, field=name).value
    if parsed.bands:
        entries |= {"kind": "tier", "per_minor": None, "bands": read_bands(parsed.bands, facts.currency).value}
    if parsed.what:
        entries["what"] = parsed.what
    if parsed.time:
        entries["last_time"] = read_time(parsed.time, field="last_time").value
    return show_outcome(studio.do(KeepReward(**entries)), parsed)


def _try(studio: Studio, parsed: Namespace) -> int:
    """What a basket of so much would earn, by itself and with what is ordered and pooled."""
    if parsed.sum is None:
        raise InvalidError("How much is the basket?", hint="Give --sum.", field="amount")
    reward_id, currency = _reward_id(parsed), studio.ask(Settings()).currency
    goods = read_money(parsed.sum, currency, field="amount").value
    earns = studio.ask(WhatBasketEarns(reward_id, goods))
    if parsed.json:
        both = {
            name: {
                "goods": currency.from_minor(one.goods),
                "earned": one.earned,
                "to_next": None if one.to_next is None else currency.from_minor(one.to_next),
            }
            for name, one in (("alone", earns.alone), ("together", earns.together))
        }
        name = ref("reward", reward_id)
        print(answer("basket", reward=name, currency=currency.code, goods=currency.from_minor(goods), **both))
        return 0
    say(f"Alone: {reward_sentence(earns.alone, currency)}")
    say(f"With what is ordered and pooled: {reward_sentence(earns.together, currency)}")
    return 0


def _retire(studio: Studio, parsed: Namespace) -> int:
    return show_outcome(studio.do(RetireReward(reward_id=_reward_id(parsed), back=parsed.back)), parsed)
