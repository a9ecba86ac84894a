"""A studio written out as JSON and read in again is the same in every table but the history."""

from __future__ import annotations

import random
import tempfile
from contextlib import suppress
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.clock import FixedClock
from scheduling.commands.people import AddPerson
from scheduling.copying_in import copy_in
from scheduling.errors import SchedulingError
from scheduling.queries.whole_studio import WholeStudio
from scheduling.studio import Studio
from tests.property.test_undo import MAKERS, begun
from tests.support.builders import NOW, dump

FEWER = settings(max_examples=max(8, settings().max_examples // 6))


@FEWER
@given(st.integers(0, 2**32), st.integers(0, 40), st.text(min_size=1, max_size=20))
def test_out_and_in_gives_equal_tables(seed: int, many: int, name: str) -> None:
    rng, studio = random.Random(seed), begun()
    with suppress(SchedulingError):  # a name without letters is refused
        studio.do(AddPerson(name=name, note=name))
    for _ in range(many):
        with suppress(SchedulingError):
            studio.do(rng.choice(MAKERS)(rng))
    octets, before = studio.ask(WholeStudio()), dump(studio)
    studio.close()
    before["history"] = before["history_part"] = []
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "s.kitwright"
        copy_in(octets, path)
        with Studio(str(path), clock=FixedClock(NOW)) as again:
            assert dump(again) == before
            assert again.ask(WholeStudio()) == octets
