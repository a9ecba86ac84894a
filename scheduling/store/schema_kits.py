"""Schema step 4: suppliers, materials, stock, bills of materials, tools, kit runs, orders and rewards.

Lengths are whole counts of 1/1,016,000 in with the form they were typed in (decisions 11); sums are whole minor
units; weights whole milligrams. What is on hand is worked out from the journal of movements, never stored, so that no
figure can drift from its entries.
"""

from __future__ import annotations

_RULES_OF_KITS = """
ALTER TABLE studio ADD COLUMN order_buffer_days INTEGER NOT NULL DEFAULT 1 CHECK (order_buffer_days BETWEEN 0 AND 60);
ALTER TABLE studio ADD COLUMN waste_percent INTEGER NOT NULL DEFAULT 0 CHECK (waste_percent BETWEEN 0 AND 100);
ALTER TABLE studio ADD COLUMN heads_per_table INTEGER NOT NULL DEFAULT 6 CHECK (heads_per_table >= 1);
ALTER TABLE studio ADD COLUMN kerf_counts INTEGER NOT NULL DEFAULT 0 CHECK (kerf_counts >= 0);
ALTER TABLE studio ADD COLUMN knife_kerf_counts INTEGER NOT NULL DEFAULT 0 CHECK (knife_kerf_counts >= 0);
ALTER TABLE studio ADD COLUMN longest_cut_counts INTEGER CHECK (longest_cut_counts > 0);
ALTER TABLE studio ADD COLUMN smallest_strip_counts INTEGER NOT NULL DEFAULT 0 CHECK (smallest_strip_counts >= 0);
ALTER TABLE studio ADD COLUMN keep_long_counts INTEGER NOT NULL DEFAULT 6096000 CHECK (keep_long_counts > 0);
ALTER TABLE studio ADD COLUMN keep_short_counts INTEGER NOT NULL DEFAULT 3048000 CHECK (keep_short_counts > 0);
"""

_THINGS = """
CREATE TABLE supplier (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL CHECK (trim(name) <> ''),
    lead_days INTEGER NOT NULL CHECK (lead_days BETWEEN 0 AND 400),
    lead_in TEXT NOT NULL CHECK (lead_in IN ('working days', 'calendar days')),
    order_before TEXT CHECK (order_before GLOB '[0-2][0-9]:[0-5][0-9]'),
    takes_orders_on TEXT NOT NULL DEFAULT '1234567' CHECK (takes_orders_on <> ''),
    least_order_minor INTEGER NOT NULL DEFAULT 0 CHECK (least_order_minor >= 0),
    carriage_minor INTEGER NOT NULL DEFAULT 0 CHECK (carriage_minor >= 0),
    carriage_free_minor INTEGER CHECK (carriage_free_minor >= 0),
    contact TEXT NOT NULL DEFAULT '',
    note TEXT NOT NULL DEFAULT '',
    retired_at TEXT,
    modified_at TEXT NOT NULL
) STRICT;
CREATE TABLE supplier_closure (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    supplier_id INTEGER NOT NULL REFERENCES supplier (id),
    day TEXT NOT NULL CHECK (date(day, '+0 days') IS day),
    UNIQUE (supplier_id, day)
) STRICT;
CREATE TABLE material (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL CHECK (trim(name) <> ''),
    supplier_id INTEGER REFERENCES supplier (id),
    form TEXT NOT NULL CHECK (form IN ('each', 'sheet', 'roll', 'reel')),
    along_counts INTEGER NOT NULL DEFAULT 0 CHECK (along_counts >= 0),
    along_form TEXT NOT NULL DEFAULT 'in',
    across_counts INTEGER NOT NULL DEFAULT 0 CHECK (across_counts >= 0),
    across_form TEXT NOT NULL DEFAULT 'in',
    grain TEXT NOT NULL DEFAULT 'none' CHECK (grain IN ('long', 'short', 'none')),
    one_way INTEGER NOT NULL DEFAULT 0 CHECK (one_way IN (0, 1)),
    two_sided INTEGER NOT NULL DEFAULT 1 CHECK (two_sided IN (0, 1)),
    trim_counts INTEGER NOT NULL DEFAULT 0 CHECK (trim_counts >= 0),
    trim_form TEXT NOT NULL DEFAULT 'in',
    leader_counts INTEGER NOT NULL DEFAULT 0 CHECK (leader_counts >= 0),
    pack INTEGER NOT NULL DEFAULT 1 CHECK (pack >= 1),
    price_minor INTEGER NOT NULL DEFAULT 0 CHECK (price_minor >= 0),
    price_from TEXT CHECK (date(price_from, '+0 days') IS price_from),
    price_then_minor INTEGER CHECK (price_then_minor >= 0),
    last_order_day TEXT CHECK (date(last_order_day, '+0 days') IS last_order_day),
    swap TEXT NOT NULL DEFAULT 'none' CHECK (swap IN ('none', 'colour', 'any')),
    weight_mg INTEGER NOT NULL DEFAULT 0 CHECK (weight_mg >= 0),
    thickness_counts INTEGER NOT NULL DEFAULT 0 CHECK (thickness_counts >= 0),
    packaging INTEGER NOT NULL DEFAULT 0 CHECK (packaging IN (0, 1)),
    cautions TEXT NOT NULL DEFAULT '',
    retired_at TEXT,
    modified_at TEXT NOT NULL,
    CHECK ((form = 'each') = (along_counts = 0)),
    CHECK ((form IN ('sheet', 'roll')) = (across_counts > 0)),
    CHECK ((price_from IS NULL) = (price_then_minor IS NULL))
) STRICT;
CREATE INDEX material_by_supplier ON material (supplier_id);
CREATE TABLE tool (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL UNIQUE CHECK (trim(name) <> ''),
    owned INTEGER NOT NULL CHECK (owned >= 0),
    cautions TEXT NOT NULL DEFAULT '',
    retired_at TEXT,
    modified_at TEXT NOT NULL
) STRICT;
"""

_BILL = """
CREATE TABLE bill_line (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    project_version_id INTEGER NOT NULL REFERENCES project_version (id),
    position INTEGER NOT NULL,
    part TEXT NOT NULL CHECK (trim(part) <> ''),
    material_id INTEGER NOT NULL REFERENCES material (id),
    quantity INTEGER NOT NULL CHECK (quantity BETWEEN 1 AND 10000),
    per TEXT NOT NULL DEFAULT 'kit' CHECK (per IN ('kit', 'head', 'mailed head', 'class')),
    along_counts INTEGER NOT NULL DEFAULT 0 CHECK (along_counts >= 0),
    along_form TEXT NOT NULL DEFAULT 'in',
    across_counts INTEGER NOT NULL DEFAULT 0 CHECK (across_counts >= 0),
    across_form TEXT NOT NULL DEFAULT 'in',
    free_grain INTEGER NOT NULL DEFAULT 0 CHECK (free_grain IN (0, 1)),
    one_way INTEGER NOT NULL DEFAULT 0 CHECK (one_way IN (0, 1)),
    fold TEXT NOT NULL DEFAULT 'none' CHECK (fold IN ('none', 'along', 'across')),
    hand TEXT NOT NULL DEFAULT '' CHECK (hand IN ('', 'left', 'right')),
    UNIQUE (project_version_id, position)
) STRICT;
CREATE INDEX bill_line_by_material ON bill_line (material_id);
CREATE TABLE bill_option (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    bill_line_id INTEGER NOT NULL REFERENCES bill_line (id),
    name TEXT NOT NULL CHECK (trim(name) <> ''),
    material_id INTEGER REFERENCES material (id),
    UNIQUE (bill_line_id, name)
) STRICT;
CREATE TABLE seat_option (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    seat_id INTEGER NOT NULL REFERENCES seat (id),
    name TEXT NOT NULL CHECK (trim(name) <> ''),
    UNIQUE (seat_id, name)
) STRICT;
CREATE TABLE tool_need (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    project_version_id INTEGER NOT NULL REFERENCES project_version (id),
    tool_id INTEGER NOT NULL REFERENCES tool (id),
    per TEXT NOT NULL CHECK (per IN ('head', 'two', 'table', 'class')),
    UNIQUE (project_version_id, tool_id)
) STRICT;
CREATE TRIGGER bill_line_stays BEFORE UPDATE ON bill_line
BEGIN SELECT RAISE(ABORT, 'rule: a project version is never changed'); END;
CREATE TRIGGER tool_need_stays BEFORE UPDATE ON tool_need
BEGIN SELECT RAISE(ABORT, 'rule: a project version is never changed'); END;
"""

# A whole sheet, or a thing, has no size here; a length off a reel or roll has its length; an off-cut both sides.
_STOCK = """
CREATE TABLE stock_movement (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    material_id INTEGER NOT NULL REFERENCES material (id),
    day TEXT NOT NULL CHECK (date(day, '+0 days') IS day),
    along_counts INTEGER NOT NULL DEFAULT 0 CHECK (along_counts >= 0),
    across_counts INTEGER NOT NULL DEFAULT 0 CHECK (across_counts >= 0),
    grain TEXT NOT NULL DEFAULT '' CHECK (grain IN ('', 'long', 'short', 'none')),
    change INTEGER NOT NULL CHECK (change <> 0),
    reason TEXT NOT NULL CHECK (reason IN
        ('counted', 'received', 'cut', 'off-cut', 'kit', 'left over', 'waste', 'swapped', 'given away')),
    class_date_id INTEGER REFERENCES class_date (id),
    supply_line_id INTEGER REFERENCES supply_line (id),
    note TEXT NOT NULL DEFAULT '',
    created_at TEXT NOT NULL
) STRICT;
CREATE INDEX stock_movement_by_material ON stock_movement (material_id, along_counts, across_counts, grain);
CREATE INDEX stock_movement_by_class ON stock_movement (class_date_id) WHERE class_date_id IS NOT NULL;
CREATE VIEW stock_on_hand AS
    SELECT material_id, along_counts, across_counts, grain, sum(change) AS count FROM stock_movement
    GROUP BY material_id, along_counts, across_counts, grain HAVING sum(change) <> 0;
CREATE TABLE allotment (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    class_date_id INTEGER NOT NULL REFERENCES class_date (id),
    material_id INTEGER NOT NULL REFERENCES material (id),
    amount INTEGER NOT NULL CHECK (amount >= 0),
    modified_at TEXT NOT NULL,
    UNIQUE (class_date_id, material_id)
) STRICT;
"""


def _stock_trigger(name: str, event: str, row: str) -> str:
    return f"""
CREATE TRIGGER {name} AFTER {event} ON stock_movement
BEGIN SELECT RAISE(ABORT, 'rule: stock')
    WHERE (SELECT coalesce(sum(change), 0) FROM stock_movement
           WHERE material_id = {row}.material_id AND along_counts = {row}.along_counts
             AND across_counts = {row}.across_counts AND grain = {row}.grain) < 0; END;
"""


_STOCK_RULES = (
    _stock_trigger("stock_is_there", "INSERT", "NEW")
    + _stock_trigger("stock_stays_there", "DELETE", "OLD")
    + """
CREATE TRIGGER stock_movement_stays BEFORE UPDATE ON stock_movement
BEGIN SELECT RAISE(ABORT, 'rule: a stock movement is never changed'); END;
CREATE TRIGGER prices_keep_currency BEFORE UPDATE OF currency, currency_places ON studio
WHEN (NEW.currency IS NOT OLD.currency OR NEW.currency_places IS NOT OLD.currency_places)
    AND (EXISTS (SELECT 1 FROM material) OR EXISTS (SELECT 1 FROM supplier))
BEGIN SELECT RAISE(ABORT, 'rule: currency'); END;
"""
)

_KIT_RUNS = """
CREATE TABLE kit_run (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    class_date_id INTEGER NOT NULL UNIQUE REFERENCES class_date (id),
    kits INTEGER NOT NULL CHECK (kits >= 0),
    begun_at TEXT NOT NULL,
    modified_at TEXT NOT NULL
) STRICT;
CREATE TABLE kit_step (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    kit_run_id INTEGER NOT NULL REFERENCES kit_run (id),
    position INTEGER NOT NULL,
    step TEXT NOT NULL CHECK (step IN ('cut', 'pre-work', 'sort', 'bag', 'label', 'check', 'seal', 'post')),
    part TEXT NOT NULL DEFAULT '',
    wanted INTEGER NOT NULL CHECK (wanted >= 0),
    done INTEGER NOT NULL DEFAULT 0 CHECK (done >= 0),
    checked_by TEXT NOT NULL DEFAULT '',
    modified_at TEXT NOT NULL,
    UNIQUE (kit_run_id, step, part)
) STRICT;
CREATE TABLE kit_note (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    kit_run_id INTEGER NOT NULL REFERENCES kit_run (id),
    kind TEXT NOT NULL CHECK (kind IN ('problem', 'weight')),
    note TEXT NOT NULL DEFAULT '',
    weight_mg INTEGER CHECK (weight_mg > 0),
    noted_at TEXT NOT NULL,
    mended_at TEXT,
    CHECK ((kind = 'weight') = (weight_mg IS NOT NULL))
) STRICT;
CREATE INDEX kit_note_by_run ON kit_note (kit_run_id);
CREATE TABLE parcel (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    seat_id INTEGER NOT NULL REFERENCES seat (id),
    posted_on TEXT NOT NULL CHECK (date(posted_on, '+0 days') IS posted_on),
    proof TEXT NOT NULL DEFAULT '',
    sent_again INTEGER NOT NULL DEFAULT 0 CHECK (sent_again IN (0, 1)),
    created_at TEXT NOT NULL
) STRICT;
CREATE INDEX parcel_by_seat ON parcel (seat_id);
"""

_ORDERS = """
CREATE TABLE supply_order (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    supplier_id INTEGER NOT NULL REFERENCES supplier (id),
    state TEXT NOT NULL CHECK (state IN ('ordered', 'part received', 'received', 'cancelled')),
    ordered_at TEXT NOT NULL,
    promised_day TEXT NOT NULL CHECK (date(promised_day, '+0 days') IS promised_day),
    carriage_minor INTEGER NOT NULL DEFAULT 0 CHECK (carriage_minor >= 0),
    note TEXT NOT NULL DEFAULT '',
    modified_at TEXT NOT NULL
) STRICT;
CREATE INDEX supply_order_by_supplier ON supply_order (supplier_id, state);
CREATE TABLE supply_line (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    supply_order_id INTEGER NOT NULL REFERENCES supply_order (id),
    material_id INTEGER NOT NULL REFERENCES material (id),
    packs INTEGER NOT NULL CHECK (packs >= 1),
    price_minor INTEGER NOT NULL CHECK (price_minor >= 0),
    packs_received INTEGER NOT NULL DEFAULT 0 CHECK (packs_received >= 0),
    packs_given_up INTEGER NOT NULL DEFAULT 0 CHECK (packs_given_up >= 0),
    swapped_for INTEGER REFERENCES material (id),
    note TEXT NOT NULL DEFAULT '',
    modified_at TEXT NOT NULL,
    CHECK (packs_received + packs_given_up <= packs),
    UNIQUE (supply_order_id, material_id)
) STRICT;
CREATE INDEX supply_line_by_material ON supply_line (material_id);
CREATE TABLE reward (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    public_id TEXT NOT NULL UNIQUE,
    supplier_id INTEGER NOT NULL REFERENCES supplier (id),
    kind TEXT NOT NULL CHECK (kind IN ('spend', 'tier', 'two dates')),
    what TEXT NOT NULL CHECK (trim(what) <> ''),
    worth_minor INTEGER NOT NULL DEFAULT 0 CHECK (worth_minor >= 0),
    first_day TEXT NOT NULL CHECK (date(first_day, '+0 days') IS first_day),
    last_day TEXT NOT NULL CHECK (date(last_day, '+0 days') IS last_day AND last_day >= first_day),
    last_time TEXT CHECK (last_time GLOB '[0-2][0-9]:[0-5][0-9]'),
    per_minor INTEGER CHECK (per_minor > 0),
    bands TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(bands)),
    held_from TEXT CHECK (date(held_from, '+0 days') IS held_from),
    held_through TEXT CHECK (date(held_through, '+0 days') IS held_through AND held_through >= held_from),
    retired_at TEXT,
    modified_at TEXT NOT NULL,
    CHECK ((kind = 'tier') = (per_minor IS NULL)),
    CHECK ((kind = 'two dates') = (held_from IS NOT NULL))
) STRICT;
CREATE TABLE pooled_sum (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    reward_id INTEGER NOT NULL REFERENCES reward (id),
    who TEXT NOT NULL DEFAULT '',
    person_id INTEGER REFERENCES person (id),
    amount_minor INTEGER NOT NULL CHECK (amount_minor > 0),
    paid_at TEXT,
    modified_at TEXT NOT NULL,
    CHECK ((trim(who) <> '') = (person_id IS NULL))
) STRICT;
CREATE INDEX pooled_sum_by_reward ON pooled_sum (reward_id);
CREATE INDEX pooled_sum_by_person ON pooled_sum (person_id);
"""

STEP = _RULES_OF_KITS + _THINGS + _BILL + _STOCK + _STOCK_RULES + _KIT_RUNS + _ORDERS
