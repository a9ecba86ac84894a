"""Eight programs at once after the last seats, and programs killed while they write."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from scheduling.queries.history import History
from scheduling.queries.people import FindPeople
from scheduling.queries.roster import Roster
from scheduling.store import database
from scheduling.studio import Studio
from tests.support.builders import a_studio, class_date, dump, person

pytestmark = pytest.mark.all

HERE = Path(__file__).parents[2]
WRITERS = 8

RACER = """
import json, sys
from scheduling.commands.bookings import Book, CancelBooking
from scheduling.errors import ConflictError, StoreError
from scheduling.studio import Studio

path, me, rounds, give_back = sys.argv[1], int(sys.argv[2]), int(sys.argv[3]), sys.argv[4] == "give back"
said = {"confirmed": [], "waitlist": [], "cancelled": [], "refused": [], "busy": 0}
with Studio(path, origin=f"window {me}") as studio:
    print("ready", flush=True)
    sys.stdin.readline()
    for n in range(rounds):
        person = 1 + me * rounds + n
        try:
            kept = studio.do(Book(class_date_id=1, payer_id=person, people=(person,), over_the_list=True))
            said[kept.state].append(kept.booking_id)
            if give_back and kept.state == "confirmed" and n % 2:
                studio.do(CancelBooking(booking_id=kept.booking_id))
                said["cancelled"].append(kept.booking_id)
        except ConflictError as error:
            said["refused"].append(str(error))
        except StoreError as error:
            assert "Another window is saving" in str(error), error
            said["busy"] += 1
print(json.dumps(said), flush=True)
"""


def race(path: Path, rounds: int, way: str) -> list[dict[str, list[int]]]:
    """Let all writers loose at once; what each says it has done."""
    racers = [
        subprocess.Popen(
            [sys.executable, "-c", RACER, str(path), str(me), str(rounds), way],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=HERE,
        )
        for me in range(WRITERS)
    ]  # fmt: skip
    for racer in racers:
        assert racer.stdout is not None
        assert racer.stdout.readline() == "ready\n", racer.communicate()[1]
    for racer in racers:
        assert racer.stdin is not None
        racer.stdin.write("go\n")
        racer.stdin.flush()
    found = []
    for racer in racers:
        out, err = racer.communicate(timeout=120)
        assert racer.returncode == 0, err
        found.append(json.loads(out))
    return found


@pytest.mark.parametrize(("seats", "way"), [(5, "keep"), (20, "give back")])
def test_eight_windows_never_give_one_seat_too_many_nor_lose_one(tmp_path: Path, seats: int, way: str) -> None:
    rounds, path = 12, tmp_path / "s.kitwright"
    with a_studio(path) as studio:
        class_date(studio, seats=seats)
        for _ in range(WRITERS * rounds):
            person(studio)
        found = race(path, rounds, way)
        rows = dump(studio)
        page = studio.ask(Roster(1))
    told = {word: [number for one in found for number in one[word]] for word in ("confirmed", "cancelled", "waitlist")}
    kept = sorted(set(told["confirmed"]) - set(told["cancelled"]))
    by_state = {
        state: sorted(int(str(row["id"])) for row in rows["booking"] if row["state"] == state) for state in told
    }
    assert by_state["confirmed"] == kept, "none lost, none doubled"
    assert by_state["waitlist"] == sorted(told["waitlist"])
    assert page.class_row.heads == len(kept) <= seats
    assert told["waitlist"], "there were more than there are seats"
    if way == "keep":
        assert len(kept) == seats
    assert not any(one["refused"] for one in found)
    ids = [row["id"] for row in rows["history"]]
    assert len(ids) == len(set(ids))


WRITER = """
import sys
from scheduling.commands.bookings import Book
from scheduling.commands.people import AddPerson
from scheduling.studio import Studio

with Studio(sys.argv[1]) as studio:
    n = 0
    while True:
        n += 1
        person = studio.do(AddPerson(name=f"Kept {sys.argv[2]} {n}")).person_id
        booking = studio.do(Book(class_date_id=1, payer_id=person, people=(person, None))).booking_id
        print(f"{person} {booking}", flush=True)
"""


def test_what_was_said_to_be_kept_is_there_after_a_kill_and_nothing_is_half_there(tmp_path: Path) -> None:
    path, rng = tmp_path / "s.kitwright", random.Random(7)
    with a_studio(path) as studio:
        class_date(studio, seats=9999)
    said: list[tuple[int, int]] = []
    for turn in range(12):
        writer = subprocess.Popen(
            [sys.executable, "-c", WRITER, str(path), str(turn)], stdout=subprocess.PIPE, text=True, cwd=HERE
        )
        assert writer.stdout is not None
        said.append(tuple(map(int, writer.stdout.readline().split())))  # type: ignore[arg-type]  # two numbers
        time.sleep(rng.uniform(0.0, 0.15))
        os.kill(writer.pid, signal.SIGKILL)
        rest, _ = writer.communicate()
        said += [tuple(map(int, line.split())) for line in rest.splitlines() if line.count(" ") == 1]  # type: ignore[misc]
        with Studio(str(path)) as studio:
            assert studio.ask(FindPeople("")).total >= len(said)
    connection = database.connect(str(path))
    assert connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
    connection.close()
    with Studio(str(path)) as studio:
        rows = dump(studio)
        people = {row["id"] for row in rows["person"]}
        bookings = {row["id"]: row["payer_id"] for row in rows["booking"]}
        assert all(number in people and bookings[booking] == number for number, booking in said)
        heads = [sum(seat["booking_id"] == booking for seat in rows["seat"]) for booking in bookings]
        assert set(heads) == {2}, "a booking is there with all its heads or not at all"
        actions = [row for row in studio.ask(History(99999)) if "Added A" in row.summary or "for A" in row.summary]
        assert len(actions) == len(people) + len(bookings), "every action with its line in the history, and no other"
        assert len(said) > 12
