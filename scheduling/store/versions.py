"""Class dates to come that keep an older version of their project than its newest."""

from __future__ import annotations

import datetime as dt

from scheduling.model.versions import ClassBehind
from scheduling.store.rows import Reader


def classes_behind(reader: Reader, project_id: int) -> tuple[ClassBehind, ...]:
    """Those of a project that are neither taught nor cancelled and start today or later, by start."""
    rows = reader.rows(
        """SELECT class_date.id, class_date.title, version.number,
             (SELECT min(date(starts)) FROM session WHERE class_date_id = class_date.id AND dropped = 0) AS day,
             EXISTS (SELECT 1 FROM kit_step JOIN kit_run ON kit_run.id = kit_step.kit_run_id
                     WHERE kit_run.class_date_id = class_date.id AND kit_step.done > 0) AS begun
           FROM class_date JOIN project_version AS version ON version.id = class_date.project_version_id
           WHERE version.project_id = ?1 AND class_date.state <> 'cancelled' AND class_date.taught_at IS NULL
             AND day >= ?2 AND version.number < (SELECT max(number) FROM project_version WHERE project_id = ?1)
           ORDER BY day, class_date.id""",
        (project_id, reader.today().isoformat()),
    )
    return tuple(
        ClassBehind(row["id"], row["title"], dt.date.fromisoformat(row["day"]), row["number"], bool(row["begun"]))
        for row in rows
    )
