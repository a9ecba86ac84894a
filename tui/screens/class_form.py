"""The form of a class date: made anew, alone or as a recurring date, and changed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from scheduling.amounts import read_count, read_money
from scheduling.commands.classes import ChangeClassDate, MakeClassDate
from scheduling.commands.request import Outcome
from scheduling.errors import InvalidError, SchedulingError
from scheduling.model.class_dates import LocalSpan
from scheduling.queries.clashes import Clashes
from scheduling.queries.classes import ClassDate, ClassEntries
from scheduling.queries.shelves import Projects, Recipes, VenueRow, Venues
from scheduling.typed_sessions import MOST_MONTHS, months_on, read_repeat, read_sessions
from scheduling.words import read_day, show_day
from tui.screens.form_page import FormPage
from tui.widgets.choice_field import Choice, ChoiceField, YesNoField
from tui.widgets.field import Field, TextField
from tui.widgets.form import Form
from tui.widgets.lines_field import LinesField

_USUAL_MONTHS = "12"


class _ClassForm(FormPage):
    """What making and changing share: the fields, and reading them."""

    def __init__(self) -> None:
        super().__init__()
        self._venues: dict[int, VenueRow] = {}

    def _money(self, typed: str) -> int:
        return read_money(typed, self.kitwright.facts.currency, field="fee_minor").value

    def _choices(self, entries: ClassEntries | None, project_id: int, venue_id: int) -> list[Field]:
        """Project and venue; those of the class stay on offer though they are retired."""
        projects = [
            one for one in self.studio.ask(Projects(with_retired=True)) if not one.retired or one.id == project_id
        ]
        venues = [one for one in self.studio.ask(Venues(with_retired=True)) if not one.retired or one.id == venue_id]
        self._venues = {venue.id: venue for venue in venues}
        newer = "a newer version is kept; it is taken over with this form" if entries and entries.newer_version else ""
        return [
            ChoiceField(
                "project_id",
                "Project",
                [Choice(one.id, one.title) for one in projects],
                value=project_id,
                hint=newer or "type a few letters",
            ),
            ChoiceField("venue_id", "Venue", [Choice(one.id, one.name) for one in venues], value=venue_id),
        ]

    def _numbers(self, entries: ClassEntries | None, venue: VenueRow | None) -> list[Field]:
        currency = self.kitwright.facts.currency
        row = None if entries is None else entries.row
        seats = f"empty takes the venue's {venue.most_seats}" if venue is not None and row is None else "heads at most"
        return [
            TextField(
                "fee_minor",
                "Fee",
                value="" if row is None else currency.show(row.fee_minor),
                read=lambda typed: f"{currency.show(self._money(typed))} {currency.code} a head",
                is_needed=False,
                hint=f"in {currency.code}, for one head; empty for none",
                entry_cells=14,
            ),
            _count("seats", "Seats", None if row is None else row.seats, seats),
            _count(
                "minimum", "Minimum", None if row is None else row.minimum,
                "heads needed to run" if row else "heads needed to run; empty takes half of the seats",
            ),
            _count("helpers", "Helpers", None if entries is None else entries.helpers, "they take no seat"),
        ]  # fmt: skip

    def _kinds(self, entries: ClassEntries | None) -> list[Field]:
        row = None if entries is None else entries.row
        return [
            YesNoField(
                "mailed_kit", "Kit by mail", value=bool(row and row.mailed_kit), hint="adds post-by and posting"
            ),
            YesNoField("children", "For children", value=bool(row and row.children), hint="takes longer to prepare"),
            YesNoField(
                "guardians_stay",
                "Guardians stay",
                value=bool(row and row.guardians_stay),
                hint="counted with those in the room",
            ),
            YesNoField(
                "private_party",
                "Private party",
                value=bool(row and row.private_party),
                hint="never in the calendar file",
            ),
            YesNoField(
                "tentative", "Tentative", value=bool(row and row.state == "tentative"), hint="in the calendar as such"
            ),
        ]

    def _texts(self, entries: ClassEntries | None) -> list[Field]:
        recipes = [Choice(one.id, one.name) for one in self.studio.ask(Recipes())]
        final = entries.final_count_day if entries is not None else None
        return [
            ChoiceField(
                "recipe_id",
                "Prep recipe",
                recipes,
                value=None if entries is None else entries.recipe_id,
                is_needed=False,
                hint="" if entries else "empty: first time for a new project, else again",
            ),
            TextField(
                "title",
                "Title",
                value="" if entries is None else entries.row.title,
                is_needed=entries is not None,
                hint="empty takes the project's",
            ),
            TextField(
                "final_count_day",
                "Final head count",
                value="" if final is None else show_day(final, year=True),
                is_needed=False,
                read=lambda typed: self._day(typed).shown,
                hint="of a private party, by the end of that day; empty: 7 days before",
            ),
            LinesField(
                "public_note",
                "Public note",
                value="" if entries is None else entries.public_note,
                lines=2,
                hint="stands in the class calendar",
            ),
            LinesField(
                "private_note", "Private note", value="" if entries is None else entries.private_note, lines=2,
                hint="only in your own calendar",
            ),
        ]  # fmt: skip

    def _day(self, typed: str) -> Any:
        return read_day(typed, today=self.today, day_first=self.day_first, field="final_count_day")

    def _entries(self, values: Mapping[str, Any]) -> dict[str, Any]:
        """The form's values as both commands take them; an empty number is left out."""
        names = (
            "project_id", "venue_id", "mailed_kit", "children", "guardians_stay", "private_party", "recipe_id",
            "public_note", "private_note",
        )  # fmt: skip
        entries = {name: values[name] for name in names}
        for name in ("seats", "minimum", "helpers"):
            if values[name]:
                entries[name] = read_count(values[name], most=10_000, field=name).value
        if values["fee_minor"]:
            entries["fee_minor"] = self._money(values["fee_minor"])
        entries["final_count_day"] = self._day(values["final_count_day"]).value if values["final_count_day"] else None
        entries["state"] = "tentative" if values["tentative"] else "confirmed"
        entries["title"] = values["title"]
        return entries


class NewClassScreen(_ClassForm):
    """A new class date, or with a rule the proposal of a recurring date."""

    title_words = "New class"

    def __init__(self, project_id: int, venue_id: int) -> None:
        super().__init__()
        self._project_id = project_id
        self._venue_id = venue_id

    def form(self) -> Form:
        choices = self._choices(None, self._project_id, self._venue_id)
        when: list[Field] = [
            TextField(
                "sessions",
                "When",
                read=self._sessions_words,
                hint="such as sat 13 mar 10-12:30; a semicolon before another session",
            ),
            TextField(
                "repeats",
                "Repeats",
                is_needed=False,
                read=lambda typed: f"{read_repeat(typed).shown}; the dates are proposed before any is kept",
                hint="such as third thursday or every 2 weeks; empty for one date",
            ),
            TextField(
                "months",
                "For months",
                value=_USUAL_MONTHS,
                is_needed=False,
                read=lambda typed: f"{read_count(typed, least=1, most=MOST_MONTHS).shown} months from the first date",
                hint="only where it repeats",
                entry_cells=6,
            ),
        ]
        numbers = self._numbers(None, self._venues.get(self._venue_id))
        title = "A new class date; project and venue stand further down"
        return Form(*when, *numbers, *self._kinds(None), *choices, *self._texts(None), title=title)

    def on_field_changed(self, event: Field.Changed) -> None:
        """Another venue has other set-up times, so what is in the way is looked at again."""
        if event.field.entry_name == "venue_id" and self.shown.values["sessions"]:
            self.shown.field("sessions").check()

    def _sessions(self, typed: str) -> tuple[LocalSpan, ...]:
        zone = self.kitwright.facts.time_zone
        return read_sessions(typed, today=self.today, zone=zone, day_first=self.day_first).value

    def _sessions_words(self, typed: str) -> str:
        """What was understood, and what would be in the way."""
        zone = self.kitwright.facts.time_zone
        understood = read_sessions(typed, today=self.today, zone=zone, day_first=self.day_first)
        venue_id = self.shown.field("venue_id").value if self.is_mounted else self._venue_id
        in_the_way = self.studio.ask(Clashes(understood.value, venue_id if isinstance(venue_id, int) else None))
        return " ".join([f"{understood.shown}.", *(f"Note: {sentence}" for sentence in in_the_way)])

    def keep(self, values: Mapping[str, Any]) -> Outcome:
        return self.studio.do(self._wanted(values))

    def _wanted(self, values: Mapping[str, Any]) -> MakeClassDate:
        return MakeClassDate(sessions=self._sessions(values["sessions"]), **self._entries(values))

    def on_form_kept(self, event: Form.Kept) -> None:
        """With a rule the dates are proposed first; without one the handler of the base keeps the class."""
        if not event.values["repeats"]:
            return
        event.stop()
        event.prevent_default()
        try:
            wanted = self._wanted(event.values)
            rule = read_repeat(str(event.values["repeats"])).value
            months = read_count(str(event.values["months"] or _USUAL_MONTHS), least=1, most=MOST_MONTHS, field="months")
        except SchedulingError as error:
            if not self.shown.refuse(error):
                self.says.refuse(error)
            return
        self.shown.again()
        through = months_on(wanted.sessions[0][0].date(), months.value)
        self.kitwright.propose_series(wanted, rule, through)


class ChangeClassScreen(_ClassForm):
    """Change a class date; its day and hours are moved apart, since that asks every booking again."""

    def __init__(self, class_date_id: int) -> None:
        super().__init__()
        self.class_date_id = class_date_id
        self._loaded: ClassEntries | None = None

    def form(self) -> Form:
        entries = self._loaded = self.studio.ask(ClassDate(self.class_date_id))
        self.title_words = f"Change {entries.row.ref}"
        return Form(
            *self._choices(entries, entries.project_id, entries.row.venue_id),
            *self._numbers(entries, self._venues.get(entries.row.venue_id)),
            *self._kinds(entries),
            *self._texts(entries),
            title=f"{entries.row.ref} {entries.row.title}; its day and hours are moved with d on its page",
        )

    def keep(self, values: Mapping[str, Any]) -> Outcome:
        entries, loaded = self._entries(values), self._loaded
        for name in ("seats", "minimum", "helpers"):
            if name not in entries:
                raise InvalidError("A number is missing.", hint="Give 0 or more.", field=name)
        entries.setdefault("fee_minor", 0)
        if loaded is not None and entries["project_id"] == loaded.project_id and not loaded.newer_version:
            del entries["project_id"]
        return self.studio.do(ChangeClassDate(class_date_id=self.class_date_id, **entries))


def _count(name: str, label: str, value: int | None, hint: str) -> TextField:
    """A field for a whole number, 0 or more."""
    return TextField(
        name,
        label,
        value="" if value is None else str(value),
        is_needed=False,
        read=lambda typed: read_count(typed, most=10_000, field=name).shown,
        hint=hint,
        entry_cells=8,
    )
