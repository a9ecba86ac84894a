"""The bill of one project version carried over to the next."""

from __future__ import annotations

from scheduling.store.rows import Transaction


def carry_bill(tx: Transaction, old_version_id: int, new_version_id: int) -> None:
    """Give a new version the lines, options and tools of the old one."""
    new = {"project_version_id": new_version_id}
    for row in tx.rows("SELECT * FROM bill_line WHERE project_version_id = ? ORDER BY position", (old_version_id,)):
        line_id = tx.insert("bill_line", {name: value for name, value in dict(row).items() if name != "id"} | new)
        for option in tx.rows("SELECT * FROM bill_option WHERE bill_line_id = ? ORDER BY id", (row["id"],)):
            tx.insert(
                "bill_option",
                {"bill_line_id": line_id, "name": option["name"], "material_id": option["material_id"]},
            )
    carry_tools(tx, old_version_id, new_version_id)


def carry_tools(tx: Transaction, old_version_id: int, new_version_id: int) -> None:
    """Give a new version the tools of the old one."""
    for row in tx.rows("SELECT * FROM tool_need WHERE project_version_id = ? ORDER BY id", (old_version_id,)):
        tx.insert("tool_need", {"project_version_id": new_version_id, "tool_id": row["tool_id"], "per": row["per"]})
