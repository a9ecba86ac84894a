"""The settings: the studio, its look, the working week, closed days, and what classes are made of."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any, Final

from textual.widget import Widget

from scheduling.commands.settings import ChangeStudio, ChangeWorkingDay, StudioKept
from scheduling.model.terms_text import refund_tiers_text
from scheduling.model.working import DAY_NAMES, hours_text, read_hours
from scheduling.queries.kit_shelves import KitRules, Tools
from scheduling.queries.settings import ClosedDays, Settings, StudioFacts, WorkingDay
from scheduling.queries.shelves import Projects, Recipes, Venues
from scheduling.words import counted, read_minutes, show_day, show_minutes
from tui import checked
from tui.bench_form import change_bench
from tui.cells import Column
from tui.keys import bindings
from tui.screens.studio_page import StudioPage
from tui.widgets.aside import Aside
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.form_sheet import FormSheet
from tui.widgets.row import Cell, Row, Section
from tui.widgets.rows import Rows

LOOKS: Final = {"light": "ink on paper", "dark": "chalk on a dark page", "plain": "the terminal's own colours"}
_COLUMNS: Final = (Column("", 20), Column("", share=3, least=20), Column("", 22, drop=1))


class SettingsScreen(StudioPage):
    """One list of all there is to set; Enter changes the line under the cursor, or opens what it stands for."""

    BINDINGS = bindings("change")
    AUTO_FOCUS = "Rows"
    title_words = "Settings"

    def __init__(self) -> None:
        super().__init__()
        self._about: dict[str, str] = {}
        self._opens: dict[str, Callable[[], None]] = {}
        self._lines: list[Row | Section] = []
        self._look = ""

    def body(self) -> Iterable[Widget]:
        yield Rows[Any](_COLUMNS, empty="There is nothing to set.")
        yield Aside()

    def reload(self) -> None:
        facts: StudioFacts = self.studio.ask(Settings())
        if self._look and facts.theme != self._look:  # changed here, undone, or changed in another window
            self.kitwright.wear(facts.theme)
        self._look = facts.theme
        self._lines, self._about, self._opens = [], {}, {}
        self._studio_lines(facts)
        self._look_lines(facts)
        self._week_lines(facts)
        self._made_of_lines()
        self._rule_lines(facts)
        self.query_one(Rows).show(self._lines)
        self._say_about()

    # The lines

    def _line(
        self,
        name: str,
        label: str,
        text: str,
        opens: Callable[[], None],
        *,
        right: str = "",
        about: str = "",
        mark: str = "",
    ) -> None:
        self._lines.append(Row(name, (label, text, Cell(right, "quiet")), mark, "accent"))
        whole = ", ".join(part for part in (text, right) if part)  # the row may have to cut it
        self._about[name] = about or f"{label}: {whole}. Enter changes it."
        self._opens[name] = opens

    def _entry(self, name: str, label: str, text: str, *, right: str = "", about: str = "") -> None:
        self._line(name, label, text, lambda: self.kitwright.change_studio(name), right=right, about=about)

    def _studio_lines(self, facts: StudioFacts) -> None:
        self._lines.append(Section("The studio"))
        self._entry("name", "Studio", facts.name, right=facts.town)
        self._entry(
            "time_zone", "Time zone", facts.time_zone.replace("_", " "),
            about="Days and times are shown in it. Classes keep the zone they were made in.",
        )  # fmt: skip
        self._entry(
            "currency", "Currency", facts.currency.code,
            about="Fixed once a class has a fee; another currency then needs a studio file of its own.",
        )  # fmt: skip
        self._entry("units", "Sizes in", {"in": "inches", "mm": "millimetres"}[facts.units])
        self._entry("day_first", "3/4 means", "3 April" if facts.day_first else "4 March")

    def _look_lines(self, facts: StudioFacts) -> None:
        self._lines.append(Section("Look", "Enter puts it on"))
        for look, words in LOOKS.items():
            is_on = look == facts.theme
            self._line(
                f"look {look}", look.capitalize(), words, lambda chosen=look: self._wear(chosen),  # type: ignore[misc]
                right="worn now" if is_on else "", mark="+" if is_on else "",
                about="Where NO_COLOR is set, the look stays plain." if look != "plain" else "No colour of our own.",
            )  # fmt: skip

    def _week_lines(self, facts: StudioFacts) -> None:
        self._lines.append(Section("Working week", "limit of prep a day"))
        for day in facts.week:
            self._line(
                f"day {day.weekday}", DAY_NAMES[day.weekday - 1], day.hours or "no work",
                lambda chosen=day: self._change_day(chosen),  # type: ignore[misc]
                right=show_minutes(day.limit_minutes), about="Hours for prep; work is laid in them, up to the limit.",
            )  # fmt: skip
        self._entry("class_day_limit_minutes", "On a class day", "", right=show_minutes(facts.class_day_limit_minutes))
        days = self.studio.ask(ClosedDays(self.today))
        first = f"next {show_day(days[0].day, today=self.today)} {days[0].note}".strip() if days else "none to come"
        self._line(
            "closed_days", "Closed days", first, self.kitwright.open_closed_days, right=f"{len(days)} to come",
            about="Blocked days of your own, and days without mail and suppliers. Enter shows them.",
        )  # fmt: skip

    def _made_of_lines(self) -> None:
        self._lines.append(Section("What classes are made of"))
        for name, label, rows, opens in (
            ("venues", "Venues", [row.name for row in self.studio.ask(Venues())], self.kitwright.open_venues),
            ("projects", "Projects", [row.title for row in self.studio.ask(Projects())], self.kitwright.open_projects),
            ("tools", "Tools", [row.name for row in self.studio.ask(Tools())], self.kitwright.open_tools),
            ("recipes", "Prep recipes", [row.name for row in self.studio.ask(Recipes())], self.kitwright.open_recipes),
        ):
            text = ", ".join(rows) or "none yet"
            self._line(name, label, text, opens, right=str(len(rows)), about=f"{text}. Enter shows them.")

    def _rule_lines(self, facts: StudioFacts) -> None:
        self._lines.append(Section("Rules"))
        self._entry(
            "spare_percent", "Spare kits", f"{facts.spare_percent} percent of the heads, {facts.spare_least} at least",
            right=f"{facts.demo_copies} to show",
        )  # fmt: skip
        rules = self.studio.ask(KitRules())
        self._line(
            "bench", "The bench",
            f"goods {counted(rules.order_buffer_days, 'day')} before their need, waste {rules.waste_percent}%",
            lambda: change_bench(self), right=f"keep {rules.keep}",
            about=f"Kerf {rules.kerf}, by knife {rules.knife_kerf}; trimmer takes {rules.longest_cut}, holds"
            f" {rules.smallest_strip} at least; off-cuts from {rules.keep} are kept;"
            f" {counted(rules.heads_per_table, 'head')} to a table.",
        )  # fmt: skip
        self._entry(
            "transit_days", "Mail takes",
            f"{counted(facts.transit_days, 'day')} inland, {facts.transit_days_abroad} abroad",
            right=f"in hand {counted(facts.in_hand_days_before, 'day')} before",
        )  # fmt: skip
        self._entry(
            "close_days_room", "Sign-up closes",
            f"{counted(facts.close_days_room, 'day')} before a room, {facts.close_days_mailed} before kits are posted",
        )  # fmt: skip
        self._entry(
            "refund_tiers", "Refunds", refund_tiers_text(facts.refund_tiers), right="an example, not advice",
            about=f"{refund_tiers_text(facts.refund_tiers)}. Bookings keep the tiers they were made with. Consumer law"
            " stands above them; tax is for an adviser.",
        )  # fmt: skip
        self._line(
            "promotions", "Promotions", "early birds, bundles, hosts' places", self.kitwright.open_promotions,
            about="What takes something off the fee, until when, what it cost and brought. Enter shows them.",
        )  # fmt: skip
        self._entry(
            "health_days_kept", "Health notes", f"erased {counted(facts.health_days_kept, 'day')} after the last class",
            about="They are shown on the attendee's page only, and erased for good, in history and copies too.",
        )  # fmt: skip
        self._line(
            "take_in", "Read a file", "sign-ups from a spreadsheet, busy times from a calendar",
            self.kitwright.open_imports, about="Shows what a file means before anything is kept. Key i does the same.",
        )  # fmt: skip

    # What is done

    def _say_about(self) -> None:
        self.query_one(Aside).show(self._about.get(str(self.query_one(Rows).cursor_id), ""))

    def on_rows_moved(self) -> None:
        self._say_about()

    def on_rows_opened(self, event: Rows.Opened) -> None:
        self._opens[str(event.row_id)]()

    def action_change(self) -> None:
        opens = self._opens.get(str(self.query_one(Rows).cursor_id))
        if opens is not None:
            opens()

    def _wear(self, look: str) -> None:
        self.perform(ChangeStudio(theme=look))

    def _change_day(self, day: WorkingDay) -> None:
        def read(typed: str) -> str:
            return hours_text(read_hours(typed))

        def keep(values: Mapping[str, Any]) -> StudioKept:
            limit = read_minutes(values["limit_minutes"], field="limit_minutes").value
            return self.studio.do(ChangeWorkingDay(weekday=day.weekday, hours=values["hours"], limit_minutes=limit))

        form = Form(
            TextField(
                "hours", "Hours", value=day.hours, read=read, is_needed=False,
                hint="such as 9-12 19-21; empty for no prep on this day",
            ),
            TextField(
                "limit_minutes", "Limit", value=checked.minutes_typed(day.limit_minutes), read=checked.minutes,
                hint="the most prep on such a day, such as 3 h; more is shown as over the limit",
            ),
            title=f"{DAY_NAMES[day.weekday - 1]}s",
        )  # fmt: skip
        self.kitwright.push_screen(FormSheet(form, keep), self.was_kept)
