"""Cut plans: the two questions the rest of the program asks of the cut planner."""

from __future__ import annotations

from dataclasses import replace

from scheduling.cutting.choice import answer_from, bound_of, met, nothing_to_cut
from scheduling.cutting.generation import generate
from scheduling.cutting.problem import CutProblem
from scheduling.cutting.refusals import refuse_for_want_of_sheets, refuse_what_fits_nowhere
from scheduling.cutting.result import CutAnswer
from scheduling.cutting.rounding import few_patterns, round_off, vary
from scheduling.cutting.search import Draft, Search
from scheduling.errors import ConflictError

_MORE_ROUNDS = 4


def first_plan(problem: CutProblem) -> CutAnswer:
    """A good plan within a few hundredths of a second, in plain Python.

    Raises InvalidError: a size or count means nothing, or a piece fits on no sheet (the hint names the mend).
    Raises ConflictError: the sheets there are and may be bought are not enough.
    """
    search = begin(problem)
    if not any(search.demand):
        return nothing_to_cut()
    return finish(search)


def fewest_sheets(problem: CutProblem) -> int:
    """The sheets that `first_plan` takes of its one size, in less time where the bound is met before set-ups are looked
    at: nothing is laid out then. Raises as `first_plan` does."""
    search = checked(problem)
    if not any(search.demand):
        return 0
    for step in (search_quickly, search_for_sheets):
        step(search)
        fewest = min((_sheets_of(search, draft) for draft in search.drafts if draft.whole), default=None)
        if fewest is not None and len(problem.stocks) == 1 and fewest == bound_of(search)[0].sheets:
            return fewest
    search_for_set_ups(search)
    return finish(search).best.sheets


def begin(problem: CutProblem) -> Search:
    """The plain search of a checked problem."""
    search = checked(problem)
    if any(search.demand):
        search_quickly(search)
        search_for_sheets(search)
        search_for_set_ups(search)
    return search


def checked(problem: CutProblem) -> Search:
    """A search that knows nothing yet; raises InvalidError as `first_plan` does."""
    problem.check()
    refuse_what_fits_nowhere(problem)
    return Search(problem)


def search_quickly(search: Search) -> None:
    """One plan by shelves alone."""
    search.complete([], search.area_values(), quickly=True)


def search_for_sheets(search: Search) -> None:
    """Column generation and rounding, by counted steps."""
    generate(search)
    round_off(search)


def search_for_set_ups(search: Search) -> None:
    """More plans where the bound is not met, then plans with fewer off-cuts and few patterns, by counted steps."""
    best = min((draft.weight for draft in search.drafts if draft.whole), default=None)
    bound, least = bound_of(search)
    if best is None or best > least:
        vary(search, _MORE_ROUNDS)
    if search.problem.use_up:
        return
    drop_off_cuts(search)
    sheets = [_sheets_of(search, draft) for draft in search.drafts if draft.whole]
    if sheets:
        fewest = min(sheets)
        few_patterns(search, max(1, bound.sheets), fewest + max(1, fewest // 4))


def _sheets_of(search: Search, draft: Draft) -> int:
    """Whole sheets, off-cuts apart."""
    return sum(number for _, source, number in draft.runs if not search.sources[source].is_off_cut)


def drop_off_cuts(search: Search) -> None:
    """Try the best plan without any off-cuts: they are only touched where that saves a sheet."""
    off_cuts = {place for place, source in enumerate(search.sources) if source.is_off_cut}
    whole = [draft for draft in search.drafts if draft.whole]
    if not off_cuts or not whole:
        return
    best = min(whole, key=lambda draft: draft.weight)
    kept = list(best.runs)
    for place in sorted(off_cuts, key=lambda one: -search.sources[one].area):
        without = [run for run in kept if run[1] != place]
        if len(without) != len(kept) and search.draft(without).whole:
            kept = without


def finish(search: Search) -> CutAnswer:
    """The answer from what the search knows.

    Raises ConflictError: no draft cuts everything.
    """
    if any(draft.whole for draft in search.drafts):
        return answer_from(search)
    problem = search.problem
    endless = replace(problem, stocks=tuple(replace(stock, may_buy=None) for stock in problem.stocks))
    more = None
    if endless != problem:
        more = _sheets_wanting(problem, endless)
    left = min(
        (search.left_after(list(draft.runs))[0] for draft in search.drafts),
        key=sum,
        default=list(search.demand),
    )
    raise refuse_for_want_of_sheets(problem, left, more)


def _sheets_wanting(problem: CutProblem, endless: CutProblem) -> int | None:
    """How many sheets more than may be bought a plan without that limit takes."""
    try:
        taken = first_plan(endless).best.taken
    except ConflictError:
        return None
    allowed = {stock.id: stock.may_buy for stock in problem.stocks}
    return sum(max(0, line.to_buy - (allowed[line.stock_id] or 0)) for line in taken) or None


def best_plan(problem: CutProblem, *, few_set_ups: bool = True) -> CutAnswer:
    """The plan of `first_plan`, improved by column generation and integer programs until the bound is met.

    few_set_ups: look, too, for plans of fewer patterns; without it only for fewer sheets.
    Takes from hundredths of a second to some seconds, so screens run it in a worker. Stops by counts alone: the same
    problem gives the same answer everywhere. Raises as `first_plan` does.
    """
    search = begin(problem)
    if not any(search.demand):
        return nothing_to_cut()
    reached = met(search)
    if not reached or (few_set_ups and min(draft.patterns for draft in search.drafts if draft.whole) > 1):
        from scheduling.cutting.columns import fewer_set_ups, improve  # the solver takes 0.1 s to load

        if not reached:
            improve(search)
        if few_set_ups:
            fewer_set_ups(search)
    return finish(search)
