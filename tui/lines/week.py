"""The verb `week`: what the first screen shows, as text or JSON."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from scheduling.model.bookings import seats_text
from scheduling.queries.plan import PlannedTask
from scheduling.queries.settings import Settings
from scheduling.queries.stock_room import OrderDeadline, OrderDeadlines
from scheduling.queries.week import Week, WeekDay, WeekPage
from scheduling.words import show_day, show_minutes
from tui.lines.answers import answer, class_entry, task_entry
from tui.lines.out import say
from tui.lines.place import open_studio, studio_path
from tui.lines.plan_parts import moved_entry, order_entry, show_moved, show_orders

MOST_LATE = 8
"""Late tasks told in the week; all of them stand in `prep`."""


def arguments(verb: str, parser: ArgumentParser) -> None:
    parser.add_argument("--days", type=int, default=7, choices=range(1, 93), metavar="N", help="days to show, 1 to 92")


def run(parsed: Namespace) -> int:
    with open_studio(studio_path(parsed.file)) as studio:
        page = studio.ask(Week(parsed.days))
        orders = studio.ask(OrderDeadlines(parsed.days))
        if parsed.json:
            currency = studio.ask(Settings()).currency
            print(
                answer(
                    "week",
                    now=page.now,
                    today=page.today,
                    frozen=page.frozen,
                    studio=page.studio,
                    days=[
                        {
                            "day": day.day,
                            "planned_minutes": day.planned_minutes,
                            "limit_minutes": day.limit_minutes,
                            "over": day.is_over,
                            "closed": day.closed,
                            "classes": [class_entry(row, currency) for row in day.classes],
                            "tasks": [
                                {
                                    "ref": work.task.ref,
                                    "class": work.task.class_ref,
                                    "title": work.task.title,
                                    "minutes": work.minutes,
                                    "starts": work.starts,
                                    "done_that_day": work.is_end,
                                    "standing": work.task.standing,
                                }
                                for work in day.tasks
                            ],
                        }
                        for day in page.days
                    ],
                    late=[task_entry(task) for task in page.late],
                    lapses=[
                        {
                            "day": lapse.day,
                            "kind": lapse.kind,
                            "class": lapse.class_ref,
                            "title": lapse.class_title,
                            "about": lapse.about,
                        }
                        for lapse in page.lapses
                    ],
                    order_by=[order_entry(one) for one in orders],
                    warnings=[{"class": row.ref, "warning": sentence} for row, sentence in page.warnings],
                    open_tasks=page.open_tasks,
                    moved=[moved_entry(move) for _, move in page.moved],
                )
            )
            return 0
        show(page, orders)
    return 0


def show(page: WeekPage, orders: tuple[OrderDeadline, ...] = ()) -> None:
    """Print the week as text, with what must be ordered in it."""
    still = ", the clock stands still" if page.frozen else ""
    say(f"{page.studio}: {show_day(page.today, year=True)}, {page.now.local:%H:%M}{still}")
    _show_late(page.late)
    show_moved(tuple(move for _, move in page.moved), page.kept_on if page.kept_on != page.today else None)
    for day in page.days:
        _show_day(day, is_today=day.day == page.today)
    if page.lapses:
        print("\nDeadlines, each by the end of the day")
        for lapse in page.lapses:
            say(f"  {show_day(lapse.day)}  {lapse.kind}  {lapse.class_ref} {lapse.class_title}: {lapse.about}")
    show_orders(orders, page.today)
    if page.warnings:
        print("\nLook at these")
        for row, sentence in page.warnings:
            say(f"  {row.ref} {show_day(row.first_day)}: {sentence}")


def _show_late(late: tuple[PlannedTask, ...]) -> None:
    if not late:
        return
    print("\nLate or behind")
    for task in late[:MOST_LATE]:
        say(f"  {task.ref}  {task.standing}  {task.title}, {task.class_ref} {task.class_title}: {task.about}")
    if len(late) > MOST_LATE:
        print(f"  and {len(late) - MOST_LATE} more: kitwright prep")


def _show_day(day: WeekDay, *, is_today: bool) -> None:
    load = f"{show_minutes(day.planned_minutes)} of {show_minutes(day.limit_minutes)} prep"
    over = "  over the limit" if day.is_over else ""
    closed = f"  ({day.closed})" if day.closed else ""
    print()
    say(f"{show_day(day.day)}{', today' if is_today else ''}  {load}{over}{closed}")
    for row in day.classes:
        times = ", ".join(
            f"{s.starts.local:%H:%M}-{s.ends.local:%H:%M}" for s in row.sessions if s.starts.local.date() == day.day
        )
        say(
            f"  class  {row.ref} {row.title}, {times}, {row.venue}:"
            f" {row.heads} of {row.seats}, {seats_text(row.seats_left)}"
        )
    for work in day.tasks:
        mark = f"  {work.task.standing}" if work.task.standing in ("late", "behind") else ""
        end = "" if work.is_end else ", goes on"
        say(
            f"  {work.starts:%H:%M}  {show_minutes(work.minutes):>8}  {work.task.ref}  {work.task.title}{end},"
            f" {work.task.class_ref} {work.task.class_title}{mark}"
        )
