"""The verb `cut`: plans to cut by, drawn to scale, with the sum behind them."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from typing import Any

from scheduling.buying.cut_why import choice_text
from scheduling.commands.cutting import CutSheets
from scheduling.cutting.drawing import cut_lines, draw_svg, draw_text
from scheduling.cutting.result import CutPlan
from scheduling.errors import InvalidError
from scheduling.model.refs import ref
from scheduling.queries.cut_plans import CutPlans, MaterialCut
from scheduling.queries.cut_together import CutTogether
from scheduling.queries.settings import Settings
from scheduling.saving import save_file
from scheduling.studio import Studio
from scheduling.words import counted
from tui.cut_words import CAUTION, buy_text, early_text, face_text, look_of, picture_title, pieces_text
from tui.lines.answers import answer
from tui.lines.kit_named import material_named
from tui.lines.named import class_named
from tui.lines.out import room, say, show_outcome
from tui.lines.place import open_studio, studio_path
from tui.typed_paths import typed_path


def arguments(_verb: str, parser: ArgumentParser) -> None:
    parser.add_argument(
        "classes",
        nargs="*",
        metavar="CLASS",
        help="class dates, cut from one plan; without one what is worth cutting together",
    )
    parser.add_argument("--material", help="that one alone")
    parser.add_argument("--svg", metavar="FILE", help="write the sheets of --material, to scale, as pictures")
    parser.add_argument("--better", action="store_true", help="search on for fewer sheets and set-ups")
    parser.add_argument("--plan", type=int, default=1, metavar="N", help="the plan to draw or to cut by (1)")
    parser.add_argument("--done", action="store_true", help="it is cut: take the sheets out of stock")
    parser.add_argument("--pattern", type=int, metavar="N", help="--done: only that pattern")
    parser.add_argument("--sheets", type=int, metavar="N", help="--done: only so many sheets of it")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        return _cut(studio, parsed)


def _together(studio: Studio, parsed: Namespace) -> int:
    rows = studio.ask(CutTogether())
    if parsed.json:
        entries = [
            {
                "project": ref("project", row.project_id),
                "classes": row.class_refs,
                "kits": row.kits,
                "materials": [
                    {
                        "material": ref("material", one.material.id),
                        "sheets_apart": one.sheets_apart,
                        "sheets": one.sheets,
                        "set_ups_apart": one.set_ups_apart,
                        "set_ups": one.set_ups,
                    }
                    for one in row.savings
                ],
            }
            for row in rows
        ]
        print(answer("cut_together", projects=entries))
        return 0
    if not rows:
        print("No project has several classes to cut for.")
    for row in rows:
        say(f"{', '.join(row.class_refs)} {row.title}: {row.kits} kits")
        for one in row.savings:
            say(
                f"  {one.material.name}: {counted(one.sheets, 'sheet')} and {counted(one.set_ups, 'set-up')}"
                " from one plan,"
                f" {one.sheets_apart} and {one.set_ups_apart} class by class"
            )
    return 0


def _cut(studio: Studio, parsed: Namespace) -> int:
    if not parsed.classes:
        return _together(studio, parsed)
    classes = tuple(class_named(studio, text).id for text in parsed.classes)
    material_id = material_named(studio, parsed.material) if parsed.material else None
    if parsed.done:
        if material_id is None:
            raise InvalidError("Which material is cut?", hint="Give --material.", field="material")
        return show_outcome(
            studio.do(
                CutSheets(
                    class_date_ids=classes,
                    material_id=material_id,
                    plan=parsed.plan,
                    better=parsed.better,
                    pattern=parsed.pattern,
                    sheets=parsed.sheets,
                )
            ),
            parsed,
        )
    found = studio.ask(CutPlans(classes, material_id, better=parsed.better))
    unit = studio.ask(Settings()).units
    if parsed.svg:
        return _write_svg(found, parsed, unit)
    if parsed.json:
        names = [ref("class_date", number) for number in classes]
        print(answer("cut", classes=names, unit=unit, materials=[_cut_entry(one) for one in found]))
        return 0
    for one in found:
        say(f"{one.ref} {one.material.name}, {one.material.size}{': ' + one.trouble if one.trouble else ''}")
        for place, plan in enumerate(one.plans, 1):
            mark = "*" if place == parsed.plan else " "
            say(f" {mark} {place}  {choice_text(plan)}{'; ' + buy_text(plan) if buy_text(plan) else ''}")
        chosen = _chosen(one, parsed.plan) if one.plans else None
        look = None if chosen is None else look_of(chosen, unit)
        if one.pieces and (face := face_text(one.material, chosen, look)):
            say(f"  {face}")
        for text in one.why:
            say(f"    {text}")
        if chosen is not None:
            _draw(chosen, unit)
        print()
    say(CAUTION)
    return 0


def _chosen(one: MaterialCut, number: int) -> CutPlan:
    return one.plans[min(number, len(one.plans)) - 1]


def _draw(plan: CutPlan, unit: str) -> None:
    look = look_of(plan, unit)
    for number, run_ in enumerate(plan.runs, 1):
        say(f"    Pattern {number}: {run_.sheets} x {run_.source_id}; {pieces_text(run_, look)}")
        for line in draw_text(run_.layout, run_.grain, width=min(64, room() - 6), height=22, look=look):
            print(f"      {line}")
        for line in cut_lines(run_.layout, unit):
            print(f"      {line}")
        if early_text(run_):
            say(f"      {early_text(run_)}")


def _write_svg(found: tuple[MaterialCut, ...], parsed: Namespace, unit: str) -> int:
    """One picture a pattern; further ones get the pattern's number before the ending."""
    runs = [
        (one, number, run_, look_of(_chosen(one, parsed.plan), unit))
        for one in found
        if one.plans
        for number, run_ in enumerate(_chosen(one, parsed.plan).runs, 1)
    ]
    if not runs:
        raise InvalidError("There is no sheet to draw.", hint="Choose a material that comes in sheets.", field="svg")
    target = typed_path(parsed.svg)
    written = []
    for place, (one, number, run_, look) in enumerate(runs, 1):
        path = target if place == 1 else target.with_stem(f"{target.stem}-{place}")
        title = picture_title(one.material, number, run_)
        picture = draw_svg(run_.layout, run_.grain, title=title, look=look)
        save_file(path, picture.encode(), private=False, what="picture")
        written.append(str(path))
    said = f"{len(written)} {'picture is' if len(written) == 1 else 'pictures are'} in {', '.join(written)}."
    if parsed.json:
        print(answer("written", said=said, file=written[0], changed=len(written)))
    else:
        say(said)
    return 0


def _cut_entry(one: MaterialCut) -> dict[str, Any]:
    return {
        "ref": one.ref,
        "material": one.material.name,
        "size": one.material.size,
        "pieces": dict(one.pieces),
        "why": one.why,
        "trouble": one.trouble,
        "bound": None if one.answer is None else one.answer.bound.sheets,
        "plans": [
            {
                "sheets": plan.sheets,
                "set_ups": plan.set_ups.patterns,
                "settings": plan.set_ups.settings,
                "cuts": plan.set_ups.cuts,
                "to_buy": sum(line.to_buy for line in plan.taken),
                "packs": sum(line.packs for line in plan.taken),
                "proved": plan.proved,
                "patterns": [
                    {"source": run_.source_id, "sheets": run_.sheets, "pieces": run_.layout.counts}
                    for run_ in plan.runs
                ],
            }
            for plan in one.plans
        ],
        "lengths": None
        if one.lengths is None
        else {
            "to_buy": one.lengths.to_buy,
            "cuts": [
                {"begun": cut.reel, "reels": cut.reels, "pieces": dict(cut.cuts), "left": cut.left_units}
                for cut in one.lengths.cuts
            ],
        },
    }
