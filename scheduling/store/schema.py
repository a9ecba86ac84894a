"""The tables, in forward-only steps: step N takes a file from version N-1 to N.

Rules of domain.md that another program could break stand here too, as CHECKs, UNIQUEs and
triggers. A trigger refuses with a text that starts with "rule:"; database.py turns it into a
sentence. A step that has landed is never edited; later needs become a further step. `date(x, '+0 days') IS x`
refuses 30 February, which `date(x) IS x` lets pass.
"""

from __future__ import annotations

from scheduling.store import (
    schema_bulk,
    schema_drying,
    schema_faces,
    schema_fits,
    schema_kits,
    schema_measures,
    schema_money,
    schema_offers,
    schema_open,
    schema_outside,
    schema_own_place,
    schema_plan,
    schema_promotions,
    schema_said,
    schema_seats,
    schema_sent,
)

APPLICATION_ID = 0x4B545752

SEAT_HOLDING_STATES = ("held", "deposit", "confirmed", "offered")
"""Bookings in these states take their heads' seats (decisions 7; attended and no-show are marks on a seat)."""

_HOLDING = ", ".join(f"'{state}'" for state in SEAT_HOLDING_STATES)

_STUDIO = """
CREATE TABLE studio (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    public_id TEXT NOT NULL,
    name TEXT NOT NULL CHECK (trim(name) <> ''),
    town TEXT NOT NULL DEFAULT '',
    time_zone TEXT NOT NULL,
    currency TEXT NOT NULL CHECK (length(currency) = 3),
    currency_places INTEGER NOT NULL CHECK (currency_places IN (0, 2, 3)),
    units TEXT NOT NULL DEFAULT 'in' CHECK (units IN ('in', 'mm')),
    day_first INTEGER NOT NULL DEFAULT 1 CHECK (day_first IN (0, 1)),
    theme TEXT NOT NULL DEFAULT 'dark' CHECK (theme IN ('dark', 'light', 'plain')),
    class_day_limit_minutes INTEGER NOT NULL DEFAULT 60 CHECK (class_day_limit_minutes BETWEEN 0 AND 1440),
    spare_percent INTEGER NOT NULL DEFAULT 10 CHECK (spare_percent BETWEEN 0 AND 100),
    spare_least INTEGER NOT NULL DEFAULT 1 CHECK (spare_least >= 0),
    demo_copies INTEGER NOT NULL DEFAULT 1 CHECK (demo_copies >= 0),
    transit_days INTEGER NOT NULL DEFAULT 5 CHECK (transit_days >= 0),
    transit_days_abroad INTEGER NOT NULL DEFAULT 15 CHECK (transit_days_abroad >= 0),
    in_hand_days_before INTEGER NOT NULL DEFAULT 4 CHECK (in_hand_days_before >= 0),
    close_days_room INTEGER NOT NULL DEFAULT 3 CHECK (close_days_room >= 0),
    close_days_mailed INTEGER NOT NULL DEFAULT 2 CHECK (close_days_mailed >= 0),
    health_days_kept INTEGER NOT NULL DEFAULT 30 CHECK (health_days_kept >= 0),
    refund_tiers TEXT NOT NULL CHECK (json_valid(refund_tiers)),
    frozen_now TEXT,
    id_seed TEXT,
    modified_at TEXT NOT NULL
) STRICT;
CREATE TABLE working_day (
    id INTEGER PRIMARY KEY CHECK (id BETWEEN 1 AND 7),
    hours TEXT NOT NULL DEFAULT '',
    limit_minutes INTEGER NOT NULL CHECK (limit_minutes BETWEEN 0 AND 1440)
) STRICT;
CREATE TABLE closed_day (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    day TEXT NOT NULL CHECK (date(day, '+0 days') IS day),
    kind TEXT NOT NULL CHECK (kind IN ('blocked', 'closure')),
    note TEXT NOT NULL DEFAULT '',
    UNIQUE (day, kind)
) STRICT;
CREATE TABLE outside_source (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    kind TEXT NOT NULL CHECK (kind IN ('busy times', 'sign-ups')),
    name TEXT NOT NULL,
    digest TEXT NOT NULL,
    mapping TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(mapping)),
    modified_at TEXT NOT NULL,
    UNIQUE (kind, name)
) STRICT;
CREATE TABLE busy_time (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    source_id INTEGER NOT NULL REFERENCES outside_source (id),
    uid TEXT NOT NULL,
    title TEXT NOT NULL,
    all_day INTEGER NOT NULL CHECK (all_day IN (0, 1)),
    starts TEXT NOT NULL,
    ends TEXT NOT NULL,
    zone TEXT NOT NULL,
    starts_fold INTEGER NOT NULL DEFAULT 0 CHECK (starts_fold IN (0, 1)),
    ends_fold INTEGER NOT NULL DEFAULT 0 CHECK (ends_fold IN (0, 1))
) STRICT;
CREATE INDEX busy_time_by_start ON busy_time (starts);
"""

_WORK = """
CREATE TABLE venue (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL CHECK (trim(name) <> ''),
    address TEXT NOT NULL DEFAULT '',
    online INTEGER NOT NULL DEFAULT 0 CHECK (online IN (0, 1)),
    own_room INTEGER NOT NULL DEFAULT 0 CHECK (own_room IN (0, 1)),
    seats INTEGER NOT NULL CHECK (seats >= 0),
    posted_occupancy INTEGER CHECK (posted_occupancy > 0),
    step_free INTEGER NOT NULL DEFAULT 0 CHECK (step_free IN (0, 1)),
    hearing_loop INTEGER NOT NULL DEFAULT 0 CHECK (hearing_loop IN (0, 1)),
    cancel_steps TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(cancel_steps)),
    set_up_minutes INTEGER NOT NULL DEFAULT 60 CHECK (set_up_minutes >= 0),
    clear_down_minutes INTEGER NOT NULL DEFAULT 30 CHECK (clear_down_minutes >= 0),
    travel_minutes INTEGER NOT NULL DEFAULT 0 CHECK (travel_minutes >= 0),
    contact TEXT NOT NULL DEFAULT '',
    joining_link TEXT NOT NULL DEFAULT '',
    cautions TEXT NOT NULL DEFAULT '',
    retired_at TEXT,
    modified_at TEXT NOT NULL
) STRICT;
CREATE TABLE project (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    retired_at TEXT,
    modified_at TEXT NOT NULL
) STRICT;
CREATE TABLE project_version (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    project_id INTEGER NOT NULL REFERENCES project (id),
    number INTEGER NOT NULL CHECK (number >= 1),
    title TEXT NOT NULL CHECK (trim(title) <> ''),
    description TEXT NOT NULL DEFAULT '',
    level TEXT NOT NULL DEFAULT '',
    teaching_minutes INTEGER NOT NULL CHECK (teaching_minutes >= 0),
    age_from INTEGER NOT NULL DEFAULT 0 CHECK (age_from BETWEEN 0 AND 120),
    pieces INTEGER NOT NULL DEFAULT 0 CHECK (pieces >= 0),
    materials INTEGER NOT NULL DEFAULT 0 CHECK (materials >= 0),
    suppliers INTEGER NOT NULL DEFAULT 0 CHECK (suppliers >= 0),
    to_bring TEXT NOT NULL DEFAULT '',
    cautions TEXT NOT NULL DEFAULT '',
    UNIQUE (project_id, number)
) STRICT;
CREATE TRIGGER project_version_stays BEFORE UPDATE ON project_version
BEGIN SELECT RAISE(ABORT, 'rule: a project version is never changed'); END;
CREATE TABLE recipe (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    name TEXT NOT NULL UNIQUE CHECK (trim(name) <> ''),
    first_time INTEGER NOT NULL CHECK (first_time IN (0, 1)),
    retired_at TEXT,
    modified_at TEXT NOT NULL
) STRICT;
CREATE TABLE recipe_line (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    recipe_id INTEGER NOT NULL REFERENCES recipe (id),
    key TEXT NOT NULL,
    position INTEGER NOT NULL,
    line TEXT NOT NULL CHECK (json_valid(line)),
    retired_at TEXT,
    modified_at TEXT NOT NULL,
    UNIQUE (recipe_id, key)
) STRICT;
CREATE TABLE series (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    rule TEXT NOT NULL CHECK (rule LIKE '%FREQ=%'),
    starts TEXT NOT NULL,
    zone TEXT NOT NULL,
    retired_at TEXT,
    modified_at TEXT NOT NULL
) STRICT;
CREATE TABLE class_date (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    title TEXT NOT NULL CHECK (trim(title) <> ''),
    project_version_id INTEGER NOT NULL REFERENCES project_version (id),
    venue_id INTEGER NOT NULL REFERENCES venue (id),
    recipe_id INTEGER NOT NULL REFERENCES recipe (id),
    place TEXT NOT NULL CHECK (place IN ('room', 'live online')),
    mailed_kit INTEGER NOT NULL DEFAULT 0 CHECK (mailed_kit IN (0, 1)),
    children INTEGER NOT NULL DEFAULT 0 CHECK (children IN (0, 1)),
    private_party INTEGER NOT NULL DEFAULT 0 CHECK (private_party IN (0, 1)),
    zone TEXT NOT NULL,
    seats INTEGER NOT NULL CHECK (seats >= 0),
    minimum INTEGER NOT NULL CHECK (minimum >= 0),
    helpers INTEGER NOT NULL DEFAULT 0 CHECK (helpers >= 0),
    fee_minor INTEGER NOT NULL CHECK (fee_minor >= 0),
    state TEXT NOT NULL DEFAULT 'confirmed' CHECK (state IN ('tentative', 'confirmed', 'cancelled')),
    taught_at TEXT,
    final_count_day TEXT CHECK (date(final_count_day, '+0 days') IS final_count_day),
    public_note TEXT NOT NULL DEFAULT '',
    private_note TEXT NOT NULL DEFAULT '',
    series_id INTEGER REFERENCES series (id),
    series_start TEXT,
    run_again_of INTEGER REFERENCES class_date (id),
    sequence INTEGER NOT NULL DEFAULT 0,
    created_at TEXT NOT NULL,
    modified_at TEXT NOT NULL,
    UNIQUE (series_id, series_start)
) STRICT;
CREATE TABLE session (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    class_date_id INTEGER NOT NULL REFERENCES class_date (id),
    starts TEXT NOT NULL CHECK (strftime('%Y-%m-%dT%H:%M', starts, '+0 days') IS starts),
    ends TEXT NOT NULL CHECK (strftime('%Y-%m-%dT%H:%M', ends, '+0 days') IS ends),
    starts_fold INTEGER NOT NULL DEFAULT 0 CHECK (starts_fold IN (0, 1)),
    ends_fold INTEGER NOT NULL DEFAULT 0 CHECK (ends_fold IN (0, 1)),
    dropped INTEGER NOT NULL DEFAULT 0 CHECK (dropped IN (0, 1)),
    CHECK (ends > starts OR ends_fold > starts_fold)
) STRICT;
CREATE INDEX session_by_class ON session (class_date_id);
CREATE INDEX session_by_start ON session (starts);
"""

_PEOPLE = f"""
CREATE TABLE person (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL CHECK (trim(name) <> ''),
    folded TEXT NOT NULL,
    email TEXT NOT NULL DEFAULT '',
    phone TEXT NOT NULL DEFAULT '',
    address TEXT NOT NULL DEFAULT '',
    abroad INTEGER NOT NULL DEFAULT 0 CHECK (abroad IN (0, 1)),
    birth_year INTEGER CHECK (birth_year BETWEEN 1880 AND 2200),
    guardian_id INTEGER REFERENCES person (id),
    access_needs TEXT NOT NULL DEFAULT '',
    health_note TEXT NOT NULL DEFAULT '',
    health_erase_on TEXT CHECK (date(health_erase_on, '+0 days') IS health_erase_on),
    photos TEXT NOT NULL DEFAULT 'unknown' CHECK (photos IN ('yes', 'no', 'unknown')),
    photos_on TEXT,
    news TEXT NOT NULL DEFAULT 'unknown' CHECK (news IN ('yes', 'no', 'unknown')),
    news_on TEXT,
    note TEXT NOT NULL DEFAULT '',
    retired_at TEXT,
    erased_at TEXT,
    created_at TEXT NOT NULL,
    modified_at TEXT NOT NULL,
    CHECK (guardian_id IS NULL OR guardian_id <> id)
) STRICT;
CREATE INDEX person_by_folded ON person (folded);
CREATE INDEX person_by_email ON person (lower(email));
CREATE INDEX person_by_guardian ON person (guardian_id);
CREATE TABLE erased_person (
    public_id TEXT PRIMARY KEY,
    erased_at TEXT NOT NULL
) STRICT;
CREATE TABLE booking (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    class_date_id INTEGER NOT NULL REFERENCES class_date (id),
    payer_id INTEGER NOT NULL REFERENCES person (id),
    state TEXT NOT NULL CHECK (state IN
        ('enquiry', 'held', 'deposit', 'confirmed', 'waitlist', 'offered', 'cancelled', 'transferred')),
    fee_minor INTEGER NOT NULL CHECK (fee_minor >= 0),
    refund_tiers TEXT NOT NULL CHECK (json_valid(refund_tiers)),
    waiting_since TEXT,
    cancelled_at TEXT,
    note TEXT NOT NULL DEFAULT '',
    source_id INTEGER REFERENCES outside_source (id),
    source_row TEXT,
    created_at TEXT NOT NULL,
    modified_at TEXT NOT NULL,
    CHECK (state <> 'waitlist' OR waiting_since IS NOT NULL),
    UNIQUE (source_id, source_row)
) STRICT;
CREATE INDEX booking_by_class ON booking (class_date_id, state);
CREATE INDEX booking_by_payer ON booking (payer_id);
CREATE TABLE seat (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    booking_id INTEGER NOT NULL REFERENCES booking (id),
    person_id INTEGER REFERENCES person (id),
    mark TEXT NOT NULL DEFAULT '' CHECK (mark IN ('', 'attended', 'no-show')),
    given_up_at TEXT
) STRICT;
CREATE INDEX seat_by_booking ON seat (booking_id);
CREATE INDEX seat_by_person ON seat (person_id);
CREATE VIEW seats_taken AS
    SELECT booking.class_date_id, count(*) AS heads
    FROM booking JOIN seat ON seat.booking_id = booking.id
    WHERE booking.state IN ({_HOLDING}) AND seat.given_up_at IS NULL
    GROUP BY booking.class_date_id;
"""


def _seat_trigger(name: str, event: str, class_date_id: str) -> str:
    return f"""
CREATE TRIGGER {name} AFTER {event}
BEGIN
    SELECT RAISE(ABORT, 'rule: seats')
    WHERE (SELECT count(*) FROM booking JOIN seat ON seat.booking_id = booking.id
           WHERE booking.class_date_id = {class_date_id}
             AND booking.state IN ({_HOLDING}) AND seat.given_up_at IS NULL)
        > (SELECT seats FROM class_date WHERE id = {class_date_id});
END;
"""


_OF_SEAT = "(SELECT class_date_id FROM booking WHERE id = NEW.booking_id)"

_SEAT_RULE = (
    _seat_trigger("seat_made_fits", "INSERT ON seat", _OF_SEAT)
    + _seat_trigger("seat_changed_fits", "UPDATE OF booking_id, given_up_at ON seat", _OF_SEAT)
    + _seat_trigger("booking_made_fits", "INSERT ON booking", "NEW.class_date_id")
    + _seat_trigger("booking_changed_fits", "UPDATE OF state, class_date_id ON booking", "NEW.class_date_id")
    + _seat_trigger("seats_lowered_fits", "UPDATE OF seats ON class_date", "NEW.id")
)

_PREP = """
CREATE TABLE task (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    class_date_id INTEGER NOT NULL REFERENCES class_date (id),
    recipe_line_id INTEGER REFERENCES recipe_line (id),
    nth INTEGER NOT NULL DEFAULT 1 CHECK (nth >= 1),
    title TEXT NOT NULL CHECK (trim(title) <> ''),
    minutes INTEGER CHECK (minutes >= 0),
    due_day TEXT CHECK (date(due_day, '+0 days') IS due_day),
    owed INTEGER NOT NULL DEFAULT 1 CHECK (owed IN (0, 1)),
    state TEXT NOT NULL DEFAULT 'needs-action'
        CHECK (state IN ('needs-action', 'in-process', 'completed', 'cancelled')),
    completed_at TEXT,
    dropped_by_her INTEGER NOT NULL DEFAULT 0 CHECK (dropped_by_her IN (0, 1)),
    sequence INTEGER NOT NULL DEFAULT 0,
    created_at TEXT NOT NULL,
    modified_at TEXT NOT NULL,
    UNIQUE (class_date_id, recipe_line_id, nth),
    CHECK ((state = 'completed') = (completed_at IS NOT NULL)),
    CHECK (recipe_line_id IS NOT NULL OR (minutes IS NOT NULL AND due_day IS NOT NULL))
) STRICT;
CREATE INDEX task_by_state ON task (state, class_date_id);
CREATE TABLE minutes_log (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    task_id INTEGER NOT NULL REFERENCES task (id),
    day TEXT NOT NULL CHECK (date(day, '+0 days') IS day),
    minutes INTEGER NOT NULL CHECK (minutes > 0),
    logged_at TEXT NOT NULL
) STRICT;
CREATE INDEX minutes_log_by_task ON minutes_log (task_id);
"""

_HISTORY = """
CREATE TABLE history (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at TEXT NOT NULL,
    origin TEXT NOT NULL,
    command TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('action', 'undo', 'redo')),
    target_id INTEGER REFERENCES history (id),
    undoable INTEGER NOT NULL CHECK (undoable IN (0, 1)),
    undone INTEGER NOT NULL DEFAULT 0 CHECK (undone IN (0, 1)),
    summary TEXT NOT NULL,
    changes TEXT NOT NULL CHECK (json_valid(changes))
) STRICT;
CREATE INDEX history_with_health ON history (id) WHERE instr(changes, '"health_erase_on":"') > 0;
CREATE TRIGGER currency_stays BEFORE UPDATE OF currency, currency_places ON studio
WHEN (NEW.currency IS NOT OLD.currency OR NEW.currency_places IS NOT OLD.currency_places)
    AND (EXISTS (SELECT 1 FROM class_date) OR EXISTS (SELECT 1 FROM booking))
BEGIN SELECT RAISE(ABORT, 'rule: currency'); END;
"""

STEPS: tuple[str, ...] = (
    _STUDIO + _WORK + _PEOPLE + _SEAT_RULE + _PREP + _HISTORY,
    schema_money.STEP,
    schema_offers.STEP,
    schema_kits.STEP,
    schema_promotions.STEP,
    schema_outside.STEP,
    schema_plan.STEP,
    schema_measures.STEP,
    schema_seats.STEP,
    schema_open.STEP,
    schema_faces.STEP,
    schema_sent.STEP,
    schema_own_place.STEP,
    schema_bulk.STEP,
    schema_drying.STEP,
    schema_fits.STEP,
    schema_said.STEP,
)
"""STEPS[n] takes a file of version n to n + 1."""

VERSION = len(STEPS)
