"""The kits of a class in words: how one differs, how tools are shared, what lifts a limit; nothing here draws."""

from __future__ import annotations

from typing import Final

from scheduling.model.refs import ref
from scheduling.money import Currency
from scheduling.queries.kit_costs import KitCash
from scheduling.queries.kit_runs import SeatKit
from scheduling.queries.late_sign_ups import LateLimit
from scheduling.words import show_day

TOOL_PER: Final = {"head": "one a head", "two": "one for two", "table": "one a table", "class": "one for the class"}
"""How a tool is shared, in words."""


def kit_words(kit: SeatKit) -> str:
    """Its options, and what is picked otherwise: "left-handed: 1 Left snips for 1 Snips (Snips)"."""
    if not kit.options:
        return "as the bill has it"
    swaps = [
        f"no {swap.part}" if swap.instead is None else f"{swap.part}: {swap.quantity} {swap.instead}, not {swap.usual}"
        for swap in kit.swaps
    ]
    return f"{', '.join(kit.options)} ({'; '.join(swaps)})" if swaps else ", ".join(kit.options)


def lift_text(limit: LateLimit, currency: Currency) -> str:
    """What would lift a limit: "1 pack (23.75) ordered now comes Fri 5 Feb, in time"."""
    if limit.packs is None:
        return "none of its parts come out of it: see its cut plan"
    if limit.dropped and limit.packs:
        return "it is dropped, and can be ordered no more"
    late = "in time" if limit.in_time else f"too late: it is needed by {show_day(limit.need_day)}"
    if limit.from_classes:
        names = ", ".join(ref("class_date", number) for number in limit.from_classes)
        late += f"; take it from what is kept for {names}, whose own then comes in time"
    if not limit.packs:
        return "on order" if limit.comes is None else f"what is on order comes {show_day(limit.comes)}, {late}"
    packs = f"{limit.packs} pack{'' if limit.packs == 1 else 's'} ({currency.show(limit.cost)})"
    if limit.comes is None:
        return f"{packs}, but it has no supplier yet"
    return f"{packs} ordered now {'comes' if limit.packs == 1 else 'come'} {show_day(limit.comes)}, {late}"


def cash_text(cash: KitCash, currency: Currency) -> str:
    """What the packs of a class take if they are bought for it alone."""
    packs = ", ".join(f"{line.packs} x {ref('material', line.material.id)}" for line in cash.packs)
    return (
        f"Bought for this class alone, all kits take {currency.show(cash.total)} in whole packs: {packs}."
        f" {currency.show(cash.left)} of it stays in stock unopened."
    )
