"""Knapsacks over reachable positions: the best filling of a side by parts of known worth, in whole numbers."""

from __future__ import annotations

from collections.abc import Sequence


def add_item(row: list[int], back: list[int], value: int, limit: int) -> tuple[list[int], list[int]]:
    """One more item in a knapsack, up to `limit` times; the new row of worths and how many it takes at each place.

    row: best worth by place, never falling; back: the place before one such item, -1 where it does not fit.
    """
    new = row[:]
    taken = [0] * len(row)
    for at, before in enumerate(back):
        if before < 0:
            continue
        if taken[before] < limit:
            with_one, number = new[before] + value, taken[before] + 1
            if with_one > new[at]:
                new[at], taken[at] = with_one, number
        else:
            # The run before is full here, so look at every shorter run by itself.
            place, total = at, 0
            for number in range(1, limit + 1):
                place = back[place]
                if place < 0:
                    break
                total += value
                if row[place] + total > new[at]:
                    new[at], taken[at] = row[place] + total, number
    return new, taken


def fill_free(size: int, options: Sequence[tuple[list[int], int]]) -> tuple[int, list[int]]:
    """The best filling of all positions by options (steps back, worth), each any number of times."""
    row = [0] * size
    pick = [-1] * size
    best = 0
    for at in range(1, size):
        taken = -1
        for which, (back, worth) in enumerate(options):
            before = back[at]
            if before >= 0 and row[before] + worth > best:
                best = row[before] + worth
                taken = which
        row[at] = best
        pick[at] = taken
    picks = []
    at = size - 1
    while at > 0:
        if pick[at] >= 0:
            picks.append(pick[at])
            at = options[pick[at]][0][at]
        else:
            at -= 1
    return best, picks


def fill_held(size: int, options: Sequence[tuple[list[int], int]], limits: Sequence[int]) -> tuple[int, list[int]]:
    """The same with each option up to its limit."""
    row = [0] * size
    layers = []
    for (back, worth), limit in zip(options, limits, strict=True):
        row, took = add_item(row, back[:size], worth, limit)
        layers.append(took)
    picks: list[int] = []
    at = size - 1
    for which in range(len(options) - 1, -1, -1):
        number = layers[which][at]
        picks.extend([which] * number)
        for _ in range(number):
            at = options[which][0][at]
    return row[-1], picks
