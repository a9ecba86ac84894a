"""From drafts to the plans worth choosing between, each cut out in full, with the bound beside them."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import ceil, gcd

from scheduling.cutting.bounds import Proof, best_of
from scheduling.cutting.layout import lay_out
from scheduling.cutting.pattern import Pattern, without_surplus
from scheduling.cutting.problem import CutProblem, Fold, Grain
from scheduling.cutting.result import Bound, CutAnswer, CutPlan, PatternRun, SetUps, StockTaken
from scheduling.cutting.search import Draft, Search

MOST_PLANS = 4


def answer_from(search: Search) -> CutAnswer:
    """The best plan and those with fewer set-ups that cost no more than half as much again; at most four.

    The search must hold a draft that cuts everything.
    """
    bound, least_weight = bound_of(search)
    whole = [draft for draft in search.drafts if draft.whole]
    least = _sheet_value(search, min(whole, key=lambda draft: _rank(search, draft)))
    by_patterns: dict[int, list[Draft]] = {}
    for draft in sorted(whole, key=lambda one: (one.patterns, _rank(search, one), one.runs)):
        by_patterns.setdefault(draft.patterns, []).append(draft)
    if search.problem.use_up:
        best = min(whole, key=lambda one: (_rank(search, one), one.patterns, one.runs))
        by_patterns = {best.patterns: [best]}
    plans: list[tuple[tuple[int, ...], CutPlan]] = []
    for _, drafts in sorted(by_patterns.items()):
        rank = _rank(search, drafts[0])
        weight = _sheet_weight(search, drafts[0])
        if 2 * _sheet_value(search, drafts[0]) > 3 * least:
            continue
        equal = sorted((draft for draft in drafts if _rank(search, draft) == rank), key=lambda one: one.weight)[:6]
        proved = weight <= least_weight or (len(search.problem.stocks) > 1 and 0 < rank[0] == bound.cost_minor)
        made = [_plan_of(search, draft, proved=proved) for draft in equal]
        plans.append((rank, min(made, key=_liking)))
    chosen: list[CutPlan] = []
    for _, plan in sorted(plans, key=lambda pair: (pair[0], pair[1].set_ups.patterns)):
        if not chosen or plan.set_ups.patterns < chosen[-1].set_ups.patterns:
            chosen.append(plan)
    if len(chosen) > MOST_PLANS:
        chosen = [*chosen[: MOST_PLANS - 1], chosen[-1]]
    return CutAnswer(tuple(chosen), bound)


def nothing_to_cut() -> CutAnswer:
    """The answer when no piece is wanted."""
    plan = CutPlan((), (), (), (), SetUps(0, 0, 0), 0, 0, 0, proved=True)
    return CutAnswer((plan,), Bound(0, 0, "Nothing is to be cut.", any_cutting=True))


def bound_of(search: Search) -> tuple[Bound, Fraction]:
    """The bound in sheets and money, and the least sum of weights of whole sheets."""
    sources, demand = search.sources, search.demand
    limits = search.available()
    sheet_costs = [0 if source.is_off_cut else 1 for source in sources]
    sheets_least, proof = best_of(search.proofs, demand, sheet_costs, limits)
    sheets = ceil(sheets_least)
    weights = [0 if source.is_off_cut else source.weight for source in sources]
    weight_least, _ = best_of(search.proofs, demand, weights, limits)
    step = gcd(*weights) or 1
    money_least, _ = best_of(search.proofs, demand, [source.price for source in sources], limits)
    money = ceil(money_least)
    stocks = search.problem.stocks
    if len(stocks) == 1:
        packs = -(-max(0, sheets - stocks[0].on_hand) // stocks[0].pack)
        money = packs * stocks[0].price_of_pack
    beside = " beside the off-cuts" if search.problem.off_cuts else ""
    reason = _reason(proof, sheets, sheets_least, beside)
    any_cutting = proof.kind != "patterns"
    return Bound(sheets, money, reason, any_cutting), Fraction(ceil(weight_least / step) * step)


def met(search: Search) -> bool:
    """Whether the best draft weighs no more than the bound allows."""
    whole = [
        sum(search.sources[source].weight * n for _, source, n in draft.runs if not search.sources[source].is_off_cut)
        for draft in search.drafts
        if draft.whole
    ]
    return bool(whole) and min(whole) <= bound_of(search)[1]


def _reason(proof: Proof, sheets: int, exact: Fraction, beside: str) -> str:
    if sheets == 0:
        return "The off-cuts may be enough."
    if sheets == 1:
        return f"At least 1 sheet is needed{beside}."
    fewer = f"{sheets - 1} sheet{'s' if sheets > 2 else ''}"
    if proof.kind == "area":
        tenths = ceil(exact * 10)
        full = f"{tenths // 10}.{tenths % 10} sheets{beside}"
        return f"The pieces and the cuts between them fill {full}; no way of cutting does it in {fewer}."
    if proof.kind == "large pieces":
        return f"Too many pieces are too large to share a sheet; no way of cutting does it in {fewer}{beside}."
    return f"No mix of sheets cut in up to three stages does it in {fewer}{beside}."


def _sheet_weight(search: Search, draft: Draft) -> int:
    return sum(
        search.sources[source].weight * sheets
        for _, source, sheets in draft.runs
        if not search.sources[source].is_off_cut
    )


def _sheet_value(search: Search, draft: Draft) -> int:
    return sum(search.sources[source].value * sheets for _, source, sheets in draft.runs)


def _rank(search: Search, draft: Draft) -> tuple[int, ...]:
    """What counts before set-ups: money for packs, then whole sheets; off-cuts only where they are to be used up."""
    used: dict[str, int] = {}
    area = 0
    for _, source, sheets in draft.runs:
        kind = search.sources[source]
        used[kind.id] = used.get(kind.id, 0) + sheets
        area += kind.area * sheets if kind.is_off_cut else 0
    money = sum(line.cost_minor for line in _taken(search.problem, used))
    return money, _sheet_value(search, draft), -area if search.problem.use_up else 0


def _liking(plan: CutPlan) -> tuple[int, ...]:
    """What is best among plans of equal cost and equally many patterns (cutting.md)."""
    largest = max(
        (blank.across_units * blank.along_units for run in plan.runs for blank in (run.early or run.layout).off_cuts),
        default=0,
    )
    return plan.set_ups.settings, plan.set_ups.cuts, sum(count for _, count in plan.off_cuts_used), -largest


def _plan_of(search: Search, draft: Draft, *, proved: bool) -> CutPlan:
    problem = search.problem
    merged: dict[tuple[str, Pattern], list[int]] = {}
    for pattern, source, sheets in draft.runs:
        entry = merged.setdefault((search.sources[source].id, search.pool[pattern]), [source, 0])
        entry[1] += sheets
    rows = [(pattern, source, sheets) for (_, pattern), (source, sheets) in merged.items()]
    runs, spare = _cut_out(search, rows)
    runs.sort(key=lambda run: (not run.from_off_cut, -run.sheets, run.source_id))
    used: dict[str, int] = {}
    for run in runs:
        used[run.source_id] = used.get(run.source_id, 0) + run.sheets
    taken = _taken(problem, used)
    settings = sum(run.layout.settings for run in runs)
    cuts = 0
    kept = 0
    for run in runs:
        for layout, sheets in run.layouts:
            cuts += len(layout.cuts) * sheets
            kept += sum(blank.across_units * blank.along_units for blank in layout.off_cuts) * sheets
    area = {stock.id: stock.along_units * stock.across_units for stock in problem.stocks}
    area |= {off_cut.id: off_cut.along_units * off_cut.across_units for off_cut in problem.off_cuts}
    spare_by_id = dict(spare)
    return CutPlan(
        runs=tuple(runs),
        taken=taken,
        off_cuts_used=tuple((off.id, used[off.id]) for off in problem.off_cuts if off.id in used),
        spare=spare,
        set_ups=SetUps(len(runs), settings, cuts),
        area_taken=sum(area[name] * sheets for name, sheets in used.items()),
        area_pieces=sum(
            piece.along_units * piece.across_units * (piece.count + spare_by_id.get(piece.id, 0))
            for piece in problem.pieces
        ),
        area_kept=kept,
        proved=proved,
        warnings=_warnings(problem, runs),
    )


_Row = tuple[Pattern, int, int]  # pattern, place of the source, sheets
_Stopped = tuple[Pattern, Pattern, int, tuple[int, int]]  # in full, stopped early, source, (sheets, of them early)


def _cut_out(search: Search, rows: list[_Row]) -> tuple[list[PatternRun], tuple[tuple[str, int], ...]]:
    """Lay out every run, stopping early where pieces would be cut that nobody needs."""
    stopped, surplus = _stop_early(search, rows)
    if any(surplus):
        leaner, left = _stop_early(search, _leaner(search, rows))
        if sum(left) < sum(surplus):
            stopped, surplus = leaner, left
    runs = [_run_of(search, pattern, last, source, numbers) for pattern, last, source, numbers in stopped]
    pieces = search.problem.pieces
    return runs, tuple((piece.id, number) for piece, number in zip(pieces, surplus, strict=True) if number)


def _surplus(search: Search, rows: list[_Row]) -> list[int]:
    size = len(search.demand)
    made = [0] * size
    for pattern, _, sheets in rows:
        for place, number in enumerate(pattern.counts(size)):
            made[place] += number * sheets
    return [have - want for have, want in zip(made, search.demand, strict=True)]


def _leaner(search: Search, rows: list[_Row]) -> list[_Row]:
    """The same runs without what every sheet of a run can leave out."""
    size = len(search.demand)
    surplus = _surplus(search, rows)
    lean: list[_Row] = []
    for pattern, source, sheets in sorted(rows, key=lambda row: row[2]):
        less = without_surplus(pattern, [number // sheets for number in surplus])
        before, after = pattern.counts(size), less.counts(size)
        surplus = [have - (was - now) * sheets for have, was, now in zip(surplus, before, after, strict=True)]
        if less.strips:
            lean.append((less, source, sheets))
    return lean


def _stop_early(search: Search, rows: list[_Row]) -> tuple[list[_Stopped], list[int]]:
    """Which sheets of each run stop early, and the pieces that are cut beyond the need all the same."""
    size = len(search.demand)
    surplus = _surplus(search, rows)
    stopped: list[_Stopped] = []
    for pattern, source, number in sorted(rows, key=lambda row: row[2]):
        last = without_surplus(pattern, list(surplus))
        left_out = [was - now for was, now in zip(pattern.counts(size), last.counts(size), strict=True)]
        sheets = number
        early = 0
        if any(left_out):
            early = min(have // less for have, less in zip(surplus, left_out, strict=True) if less)
            early = min(early, sheets)
            surplus = [have - less * early for have, less in zip(surplus, left_out, strict=True)]
        if not last.strips:
            sheets, early = sheets - early, 0  # those sheets were wholly beyond the need
        if sheets:
            stopped.append((pattern, last, source, (sheets, early)))
    return stopped, surplus


def _run_of(search: Search, pattern: Pattern, last: Pattern, source: int, numbers: tuple[int, int]) -> PatternRun:
    kind, problem = search.sources[source], search.problem
    sheets, early = numbers
    usual = last if early == sheets else pattern
    layout = lay_out(usual, kind, problem.pieces, problem.cutter, problem.keep)
    if early in {0, sheets}:
        return PatternRun(kind.id, kind.is_off_cut, kind.grain, kind.one_way, sheets, layout)
    short = lay_out(last, kind, problem.pieces, problem.cutter, problem.keep)
    return PatternRun(kind.id, kind.is_off_cut, kind.grain, kind.one_way, sheets, layout, short, early)


def _taken(problem: CutProblem, used: dict[str, int]) -> tuple[StockTaken, ...]:
    lines = []
    for stock in problem.stocks:
        sheets = used.get(stock.id, 0)
        if sheets:
            to_buy = max(0, sheets - stock.on_hand)
            packs = -(-to_buy // stock.pack)
            lines.append(
                StockTaken(
                    stock.id, sheets - to_buy, to_buy, packs, packs * stock.price_of_pack, packs * stock.pack - to_buy
                )
            )
    return tuple(lines)


def _warnings(problem: CutProblem, runs: Sequence[PatternRun]) -> tuple[str, ...]:
    """Folds that would cross the grain."""
    folds = {piece.id: piece.fold for piece in problem.pieces if piece.fold is not Fold.NONE}
    crossed = sorted(
        {
            blank.piece_id
            for run in runs
            if run.grain is not Grain.NONE
            for blank in run.layout.pieces
            if blank.piece_id in folds and (folds[blank.piece_id] is Fold.ACROSS) != blank.turned
        }
    )
    return tuple(f"The fold of {name} runs across the grain; it may crack." for name in crossed)
