"""What the day of a class needs besides people: tools by the project's own shares, and kits that are there."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class ToolWanted:
    """A tool that the class shares: per head, two, table or class; how many that makes and how many are owned."""

    name: str
    per: str
    wanted: int
    owned: int


def tools_wanted(reader: Reader, version_id: int, heads: int) -> tuple[ToolWanted, ...]:
    """The tools of a project version for so many heads, in the order in which the project lists them."""
    at_table = int(reader.value("SELECT heads_per_table FROM studio"))
    shares = {"head": heads, "two": -(-heads // 2), "table": -(-heads // at_table), "class": 1 if heads else 0}
    return tuple(
        ToolWanted(row["name"], row["per"], shares[row["per"]], row["owned"])
        for row in reader.rows(
            """SELECT tool.name, tool.owned, tool_need.per FROM tool_need JOIN tool ON tool.id = tool_need.tool_id
               WHERE tool_need.project_version_id = ? ORDER BY tool_need.id""",
            (version_id,),
        )
    )


def kits_bagged(reader: Reader, class_date_id: int) -> int | None:
    """How many kits were bagged; None where the kit run was never begun."""
    found = reader.value(
        """SELECT kit_step.done FROM kit_step JOIN kit_run ON kit_run.id = kit_step.kit_run_id
           WHERE kit_run.class_date_id = ? AND kit_step.step = 'bag' AND kit_step.part = ''""",
        (class_date_id,),
    )
    return None if found is None else int(found)


def kits_given(reader: Reader, class_date_id: int) -> int:
    """How many kits went to heads or wait for them: handed over, posted, to be collected, or used by who attended."""
    return int(
        reader.value(
            """SELECT count(*) FROM seat JOIN booking ON booking.id = seat.booking_id
               WHERE booking.class_date_id = ? AND seat.given_up_at IS NULL
                 AND booking.state IN ('held', 'deposit', 'confirmed')
                 AND (seat.kit IN ('posted', 'handed over', 'to collect')
                      OR seat.mark = 'attended' AND seat.kit <> 'back in stock')""",
            (class_date_id,),
        )
    )
