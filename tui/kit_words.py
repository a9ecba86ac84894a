"""How the kit of one head differs, in words; nothing here draws."""

from __future__ import annotations

from scheduling.queries.kit_runs import SeatKit


def kit_words(kit: SeatKit) -> str:
    """Its options, and what is picked otherwise: "left-handed: 1 Left snips for 1 Snips (Snips)"."""
    if not kit.options:
        return "as the bill has it"
    swaps = [
        f"no {swap.part}" if swap.instead is None else f"{swap.part}: {swap.quantity} {swap.instead}, not {swap.usual}"
        for swap in kit.swaps
    ]
    return f"{', '.join(kit.options)} ({'; '.join(swaps)})" if swaps else ", ".join(kit.options)
