"""What is asked before a person is erased: what goes and what stays is named beforehand."""

from __future__ import annotations

from scheduling.queries.people import PersonPage
from scheduling.words import counted
from tui import person_lines
from tui.widgets.ask import Answer, Ask


def ask_to_erase(page: PersonPage) -> Ask:
    """The question before `page`'s person is erased; its answer is "erase" when it is to be done."""
    gone = ", ".join(person_lines.personal_entries(page))
    about = (
        f"Goes: {gone}; also from the history and from the copies that this program keeps beside the file."
        f"\nStays: {counted(len(page.bookings), 'booking')} with places and sums, under the name Erased {page.ref}."
        "\nCopies that you made elsewhere, files you wrote and mail you sent are not touched: see to them yourself."
        " How long records must be kept is for your local law and your adviser to say."
    )
    answers = (
        Answer("no", "Leave everything as it is"),
        Answer("erase", f"Erase {page.name} for good", is_grave=True),
    )
    return Ask(f"Erase {page.name} ({page.ref}) for good? This cannot be undone.", answers, details=about)
