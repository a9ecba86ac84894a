"""An independent judge of cut plans: it re-cuts every sheet from the list of cuts and measures what comes out.

It shares no code with the planner; it reads the problem and the answer as plain values. Every breach is a sentence.
"""

from __future__ import annotations

from collections import Counter
from typing import Any


def faults_of(problem: Any, plan: Any) -> list[str]:
    """Everything wrong with a plan; empty for a plan that can be cut as written.

    problem: a CutProblem; plan: a CutPlan made for it.
    """
    faults: list[str] = []
    sources = {source.id: source for source in (*problem.stocks, *problem.off_cuts)}
    made: Counter[str] = Counter()
    used: Counter[str] = Counter()
    kept_area = 0
    cuts = 0
    for number, run in enumerate(plan.runs, start=1):
        used[run.source_id] += run.sheets
        faults += _run_faults(run, number)
        for layout, sheets in _ways(run):
            faults += [f"pattern {number}: {fault}" for fault in layout_faults(problem, sources[run.source_id], layout)]
            cuts += len(layout.cuts) * sheets
            made.update({blank.piece_id: 0 for blank in layout.blanks if blank.use == "piece"})
            for blank in layout.blanks:
                made[blank.piece_id] += sheets if blank.use == "piece" else 0
                kept_area += blank.across_units * blank.along_units * sheets if blank.use == "off-cut" else 0
    spare = Counter(dict(plan.spare))
    for piece in problem.pieces:
        if made[piece.id] != piece.count + spare[piece.id]:
            faults.append(f"{piece.id}: {made[piece.id]} cut, {piece.count} wanted, {spare[piece.id]} called spare")
    if {name for name, number in made.items() if number} - {piece.id for piece in problem.pieces}:
        faults.append("a piece is cut that nobody asked for")
    faults += _stock_faults(problem, plan, used)
    if cuts != plan.set_ups.cuts or len(plan.runs) != plan.set_ups.patterns:
        faults.append("the set-ups are miscounted")
    if sum(_settings(run.layout) for run in plan.runs) != plan.set_ups.settings:
        faults.append("the settings are miscounted")
    taken_area = sum(sources[name].along_units * sources[name].across_units * count for name, count in used.items())
    piece_area = sum(piece.along_units * piece.across_units * made[piece.id] for piece in problem.pieces)
    if (plan.area_taken, plan.area_pieces, plan.area_kept) != (taken_area, piece_area, kept_area):
        faults.append("the areas do not add up")
    return faults


def _ways(run: Any) -> list[tuple[Any, int]]:
    """The layouts of a run with their sheets."""
    if run.early is None:
        return [(run.layout, run.sheets)]
    return [(run.layout, run.sheets - run.early_sheets), (run.early, run.early_sheets)]


def answer_faults(problem: Any, answer: Any) -> list[str]:
    """Faults of every plan of an answer, and of its order and bound."""
    faults = [fault for plan in answer.plans for fault in faults_of(problem, plan)]
    if not 1 <= len(answer.plans) <= 4:
        faults.append(f"{len(answer.plans)} plans are shown")
    for plan in answer.plans:
        if plan.sheets < answer.bound.sheets:
            faults.append(f"{plan.sheets} sheets break the bound of {answer.bound.sheets}")
        if plan.cost_minor < answer.bound.cost_minor:
            faults.append(f"a cost of {plan.cost_minor} breaks the bound of {answer.bound.cost_minor}")
    for better, other in zip(answer.plans, answer.plans[1:], strict=False):
        if other.set_ups.patterns >= better.set_ups.patterns:
            faults.append("a plan is shown that is neither cheaper nor quicker to set up")
    faults += _area_faults(problem, answer)
    return faults


def _area_faults(problem: Any, answer: Any) -> list[str]:
    """The bound may not claim more than every plan needs, nor fall short of what the area says."""
    wanted = sum(piece.along_units * piece.across_units * piece.count for piece in problem.pieces)
    spare = sum(off.along_units * off.across_units * off.count for off in problem.off_cuts)
    largest = max((stock.along_units * stock.across_units for stock in problem.stocks), default=0)
    if largest and (wanted - spare) > answer.bound.sheets * largest:
        return ["the bound is weaker than the bare area"]
    return []


def layout_faults(problem: Any, source: Any, layout: Any) -> list[str]:
    """Everything wrong with one sheet."""
    faults: list[str] = []
    blanks = layout.blanks
    root = blanks[0]
    if (root.x_units, root.y_units) != (0, 0) or _dimensions(root) != _dimensions(source):
        faults.append("the first blank is not the sheet")
    made = {0}
    parted: set[int] = set()
    for place, cut in enumerate(layout.cuts, start=1):
        if cut.number != place:
            faults.append(f"cut {cut.number} stands in place {place}")
        if cut.blank not in made or cut.blank in parted:
            faults.append(f"cut {cut.number} cuts a blank that is not there")
        parted.add(cut.blank)
        children = {cut.near, cut.far} - {-1}
        if children & made:
            faults.append(f"cut {cut.number} makes a blank made before")
        made |= children
        faults += _cut_faults(problem.cutter, source, cut, blanks)
    if made != set(range(len(blanks))):
        faults.append("a blank comes from nowhere")
    for place, blank in enumerate(blanks):
        if (blank.use == "cut") != (place in parted):
            faults.append(f"blank {place} is called {blank.use}")
        if blank.use == "piece":
            faults += _piece_faults(problem, source, blank)
        elif blank.use != "cut":
            faults += _rest_faults(problem.keep, place, blank)
    faults += _trim_faults(source, layout)
    return faults


def _dimensions(sheet: Any) -> tuple[int, int]:
    return sheet.across_units, sheet.along_units


def _measures(blank: Any, *, across: bool) -> tuple[int, int, int, int]:
    """Start and size in the direction that a cut parts, then start and size along the cut."""
    if across:
        return blank.y_units, blank.along_units, blank.x_units, blank.across_units
    return blank.x_units, blank.across_units, blank.y_units, blank.along_units


def _cut_faults(cutter: Any, source: Any, cut: Any, blanks: Any) -> list[str]:
    """Edge to edge, kerf as the tool takes it, setting and length as they measure, within the tool's limits."""
    across = cut.runs == "across"
    name = f"cut {cut.number}"
    start, size, side, length = _measures(blanks[cut.blank], across=across)
    near_start, near_size, near_side, near_length = _measures(blanks[cut.near], across=across)
    far = blanks[cut.far] if cut.far != -1 else None
    kerf = cutter.knife_kerf_units if cut.method == "knife" else cutter.kerf_units
    rest = size - near_size - kerf
    faults = []
    if (near_length, near_side) != (length, side):
        faults.append(f"{name} does not run from edge to edge")
    if (cut.setting_units, cut.length_units) != (near_size, length):
        faults.append(f"{name} is measured wrongly")
    if not 0 < near_size < size:
        faults.append(f"{name} parts nothing")
    if cut.stage == 0:
        lost = size - near_size
        if far is not None or lost not in _edges(source, across=across) or near_start - start not in (0, lost):
            faults.append(f"{name} trims what is not to be trimmed")
    elif near_start != start:
        faults.append(f"{name} leaves a gap before its part")
    elif far is None and rest > 0:
        faults.append(f"{name} loses a remainder")
    elif far is not None and _measures(far, across=across) != (start + near_size + kerf, rest, side, length):
        faults.append(f"{name} leaves a remainder of the wrong size")
    return faults + _limit_faults(cutter, cut, near_size, rest if far is not None and far.use == "piece" else None)


def _limit_faults(cutter: Any, cut: Any, part: int, piece: int | None) -> list[str]:
    """What the trimmer cannot do: cuts too long for it, parts too narrow to hold."""
    if cut.method != "trimmer":
        return []
    faults = []
    if cutter.longest_cut_units is not None and cut.length_units > cutter.longest_cut_units:
        faults.append(f"cut {cut.number} is longer than the trimmer")
    if min(part, part if piece is None else piece) < cutter.smallest_strip_units:
        faults.append(f"cut {cut.number} leaves a part that the trimmer cannot hold")
    return faults


def _edges(source: Any, *, across: bool) -> set[int]:
    trim = getattr(source, "trim", None)
    if trim is None:
        return set()
    return {trim.head_units, trim.foot_units} if across else {trim.left_units, trim.right_units}


def _trim_faults(source: Any, layout: Any) -> list[str]:
    """Every edge is trimmed once, before anything else, and no piece lies in the trim."""
    faults = []
    stages = [cut.stage for cut in layout.cuts]
    if stages != sorted(stages) or any(stage not in range(5) for stage in stages):
        faults.append("the stages are out of order")
    trim = getattr(source, "trim", None)
    head, foot, left, right = (
        (trim.head_units, trim.foot_units, trim.left_units, trim.right_units) if trim else (0, 0, 0, 0)
    )
    if stages.count(0) != sum(1 for edge in (head, foot, left, right) if edge):
        faults.append("an edge is not trimmed once")
    inside = all(
        blank.x_units >= left
        and blank.y_units >= head
        and blank.x_units + blank.across_units <= source.across_units - right
        and blank.y_units + blank.along_units <= source.along_units - foot
        for blank in layout.blanks
        if blank.use == "piece"
    )
    return faults if inside else [*faults, "a piece lies in the trim"]


def _piece_faults(problem: Any, source: Any, blank: Any) -> list[str]:
    piece = next((one for one in problem.pieces if one.id == blank.piece_id), None)
    if piece is None:
        return [f"{blank.piece_id} is no piece of the list"]
    want = (piece.along_units, piece.across_units) if blank.turned else (piece.across_units, piece.along_units)
    faults = []
    if (blank.across_units, blank.along_units) != want:
        faults.append(f"{piece.id} has the wrong size")
    if blank.turned and piece.grain_bound and source.grain != "none":
        faults.append(f"{piece.id} lies against the grain")
    shows_back = piece.face == "back" and not source.two_sided
    if blank.over != shows_back:
        faults.append(f"{piece.id} comes out with the wrong side up")
    if blank.turned and piece.one_way and source.one_way:
        faults.append(f"{piece.id} has its pattern lying down")
    return faults


def _rest_faults(keep: Any, place: int, blank: Any) -> list[str]:
    sides = sorted((blank.across_units, blank.along_units))
    worth = sides[0] >= keep.short_units and sides[1] >= keep.long_units
    if worth != (blank.use == "off-cut"):
        return [f"remainder {place} is called {blank.use}"]
    return []


def _run_faults(run: Any, number: int) -> list[str]:
    """A run has sheets; those stopped early hold nothing that the whole ones have not and need no other sizes."""
    faults = [] if run.sheets > 0 else [f"pattern {number} has no sheets"]
    if run.early is None:
        return faults if not run.early_sheets else [*faults, f"pattern {number} stops nothing early"]
    if not 0 < run.early_sheets < run.sheets:
        faults.append(f"pattern {number} has {run.sheets} sheets and stops {run.early_sheets} early")
    whole, early = run.layout, run.early
    if Counter(b.piece_id for b in early.blanks if b.use == "piece") - Counter(
        b.piece_id for b in whole.blanks if b.use == "piece"
    ):
        faults.append(f"pattern {number} stopped early holds more than the whole one")
    # The last part of a blank needs no cut where it fits exactly, so its size counts as a setting too.
    sizes = {(blank.along_units, "across") for blank in whole.blanks[1:]}
    sizes |= {(blank.across_units, "along") for blank in whole.blanks[1:]}
    if {(cut.setting_units, str(cut.runs)) for cut in early.cuts} - sizes:
        faults.append(f"pattern {number} stopped early needs a setting of its own")
    return faults


def _stock_faults(problem: Any, plan: Any, used: Counter[str]) -> list[str]:
    faults = []
    lines = {line.stock_id: line for line in plan.taken}
    for stock in problem.stocks:
        line = lines.get(stock.id)
        have = (line.from_stock + line.to_buy) if line else 0
        if have != used[stock.id]:
            faults.append(f"{stock.id}: {used[stock.id]} sheets cut, {have} taken")
        if line is None:
            continue
        if line.from_stock > stock.on_hand or (line.to_buy and line.from_stock < stock.on_hand):
            faults.append(f"{stock.id}: {line.from_stock} from stock of {stock.on_hand}, {line.to_buy} bought")
        if stock.may_buy is not None and line.to_buy > stock.may_buy:
            faults.append(f"{stock.id}: more is bought than may be")
        price = stock.pack_cost_minor or stock.pack * stock.cost_minor
        if line.packs * stock.pack - line.to_buy != line.left_of_packs or not 0 <= line.left_of_packs < stock.pack:
            faults.append(f"{stock.id}: the packs do not fit the sheets")
        if line.cost_minor != line.packs * price:
            faults.append(f"{stock.id}: the packs are priced wrongly")
    off_used = dict(plan.off_cuts_used)
    return faults + [
        f"{off_cut.id}: {used[off_cut.id]} of {off_cut.count} off-cuts used"
        for off_cut in problem.off_cuts
        if used[off_cut.id] > off_cut.count or off_used.get(off_cut.id, 0) != used[off_cut.id]
    ]


def _settings(layout: Any) -> int:
    changes, last = 0, None
    for cut in layout.cuts:
        now = (cut.setting_units, cut.method)
        if now != last:
            changes, last = changes + 1, now
    return changes
