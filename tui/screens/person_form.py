"""The form of an attendee, new or kept already."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from scheduling.amounts import read_count
from scheduling.commands.people import AddPerson, ChangePerson
from scheduling.commands.request import Outcome
from scheduling.queries.people import FindPeople, Person, PersonPage
from scheduling.queries.people_list import PeopleNamed
from scheduling.words import counted
from tui import checked
from tui.screens.form_page import FormPage
from tui.widgets.choice_field import Choice, ChoiceField, YesNoField
from tui.widgets.field import TextField
from tui.widgets.form import Form
from tui.widgets.lines_field import LinesField
from tui.widgets.lookup_field import LookupField

_CONSENTS: Final = (Choice("unknown", "not asked yet"), Choice("yes", "yes"), Choice("no", "no"))
_OLDEST: Final = 1880


class PersonFormScreen(FormPage):
    """Only the name is needed; what was understood stands below each entry."""

    def __init__(self, person_id: int | None = None, *, name: str = "") -> None:
        super().__init__()
        self._person_id = person_id
        self._found_name = name
        self.title_words = "New attendee" if person_id is None else "Change an attendee"

    def form(self) -> Form:
        page = None if self._person_id is None else self.studio.ask(Person(self._person_id))
        year = str(page.birth_year) if page is not None and page.birth_year else ""
        guardian = Choice(page.guardian_id, page.guardian) if page is not None and page.guardian_id else None
        days = self.kitwright.facts.health_days_kept
        return Form(
            TextField(
                "name", "Name", value=_kept(page, "name") or self._found_name, read=self._known, hint="for the roster",
            ),
            TextField(
                "email", "E-mail", value=_kept(page, "email"), is_needed=False, hint="such as name@example.org",
                read=checked.by_command(AddPerson, "email", name="-"),
            ),
            TextField("phone", "Phone", value=_kept(page, "phone"), is_needed=False, hint="for the day itself"),
            LinesField("address", "Address", value=_kept(page, "address"), hint="needed only where a kit is posted"),
            YesNoField("abroad", "Lives abroad", value=bool(page and page.abroad), hint="kits go earlier and longer"),
            TextField(
                "birth_year", "Born in", value=year, read=self._year, is_needed=False, entry_cells=8,
                hint="the year only; for projects with a least age",
            ),
            LookupField(
                "guardian_id", "Guardian", self._look_up, value=guardian, is_needed=False,
                hint="for a child: who is asked and pays; type a few letters",
            ),
            LinesField(
                "access_needs", "Access needs", value=_kept(page, "access_needs"), lines=2,
                hint="steps, hearing, sight, left hand; shown on the roster",
            ),
            LinesField(
                "health_note", "Health note", value=_kept(page, "health_note"), lines=2,
                hint="only what the class needs; shown on this page alone,"
                f" erased {counted(days, 'day')} after the last class",
            ),
            ChoiceField("photos", "Photos", _CONSENTS, value=_kept(page, "photos") or "unknown", hint="to be shown?"),
            ChoiceField("news", "News by e-mail", _CONSENTS, value=_kept(page, "news") or "unknown", hint="wanted?"),
            LinesField("note", "Note", value=_kept(page, "note"), lines=2, hint="seen by nobody else"),
            title=f"{page.name}  {page.ref}" if page else "A new attendee",
        )  # fmt: skip

    def keep(self, values: Mapping[str, Any]) -> Outcome:
        typed = values["birth_year"]
        entries = {**values, "birth_year": self._read_year(typed) if typed else None}
        if self._person_id is None:
            return self.studio.do(AddPerson(**entries))
        return self.studio.do(ChangePerson(person_id=self._person_id, **entries))

    def _known(self, typed: str) -> str:
        """Says who of that name is kept already, so that nobody is kept twice."""
        known = [row for row in self.studio.ask(PeopleNamed(typed)) if row.id != self._person_id]
        if not known:
            return ""
        said = ", ".join(f"{row.ref} {row.email or row.phone}".strip() for row in known[:3])
        return f"Note: somebody of this name is kept already: {said}"

    def _read_year(self, typed: str) -> int:
        return read_count(typed, least=_OLDEST, most=self.today.year, field="birth_year").value

    def _year(self, typed: str) -> str:
        age = self.today.year - self._read_year(typed)
        return f"{age} this year" if age else "born this year"

    def _look_up(self, typed: str) -> Sequence[Choice]:
        found = self.studio.ask(FindPeople(typed, at_most=20)).rows
        return [Choice(row.id, f"{row.name}  {row.ref}") for row in found if row.id != self._person_id]


def _kept(page: PersonPage | None, entry: str) -> str:
    return "" if page is None else str(getattr(page, entry))
