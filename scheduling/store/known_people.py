"""Who of the attendees a name and an address stand for, looked up for very many at once."""

from __future__ import annotations

from collections import defaultdict

from scheduling.folding import fold_text
from scheduling.store.rows import Reader


class KnownPeople:
    """All attendees by folded name; erased ones are nobody."""

    def __init__(self, reader: Reader) -> None:
        self._by_name: dict[str, list[tuple[int, str]]] = defaultdict(list)
        for row in reader.rows("SELECT id, folded, email FROM person WHERE erased_at IS NULL ORDER BY id"):
            self._by_name[row["folded"]].append((row["id"], row["email"].casefold()))

    def match(self, name: str, email: str) -> int | None:
        """The attendee of that name and address, or of that name alone where either has no address; else None.

        Households share an address, so that it is no key by itself (interop.md 4).
        """
        alike = self._by_name.get(fold_text(name), [])
        same = [number for number, address in alike if address == email.casefold()]
        if not same and len(alike) == 1 and (not email or not alike[0][1]):
            same = [alike[0][0]]
        return same[0] if same else None
