"""The demo's suppliers, materials, stock, bills, tools and rewards (kits.json), put into the studio."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from importlib.resources import files
from typing import Any

from scheduling.commands.bill_rows import BillEntry
from scheduling.commands.kit_rules import SetKitRules
from scheduling.commands.materials import AddMaterial, KeepTool
from scheduling.commands.rewards import KeepReward, PoolSum
from scheduling.commands.stock import CountStock
from scheduling.commands.suppliers import AddSupplier
from scheduling.studio import Studio

_DAYS = ("price_from", "last_order_day", "first_day", "last_day")
_SUMS = ("price", "price_then", "least_order", "carriage", "carriage_free", "worth", "per", "amount")


@lru_cache(maxsize=1)
def _data() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(files("demo").joinpath("kits.json").read_text("utf-8"))
    return found


@dataclass(frozen=True)
class KitRows:
    """The numbers of materials and tools by the names of the data."""

    materials: dict[str, int]
    tools: dict[str, int]


def keep_materials(studio: Studio) -> KitRows:
    """Keep the rules of the bench, suppliers with their rewards, materials and tools."""
    data = _data()
    studio.do(SetKitRules(**data["rules"]))
    suppliers = {
        name: studio.do(AddSupplier(**_entries(entry))).supplier_id for name, entry in data["suppliers"].items()
    }
    materials: dict[str, int] = {}
    for name, entry in data["materials"].items():
        given = _entries({key: value for key, value in entry.items() if key not in ("supplier", "stock")})
        materials[name] = studio.do(AddMaterial(**given, supplier_id=suppliers[entry["supplier"]])).material_id
    for reward in data["rewards"]:
        given = _entries({key: value for key, value in reward.items() if key not in ("supplier", "pooled")})
        kept = studio.do(KeepReward(supplier_id=suppliers[reward["supplier"]], **given))
        for who, amount in reward["pooled"]:
            studio.do(PoolSum(reward_id=kept.reward_id, who=who, amount_minor=_minor(amount)))
    tools = {
        name: studio.do(KeepTool(name=name, **(entry if isinstance(entry, dict) else {"owned": entry}))).tool_id
        for name, entry in data["tools"].items()
    }
    return KitRows(materials, tools)


def bill_of(project: str, rows: KitRows) -> dict[str, Any]:
    """The bill, tools and drying of a project, as entries of the command that keeps it."""
    bill = _data()["bills"][project]
    hours, tool = bill["drying"]
    return {
        "lines": tuple(
            BillEntry(
                material_id=rows.materials[line["material"]], **{k: v for k, v in line.items() if k != "material"}
            )
            for line in bill["lines"]
        ),
        "tools": tuple((rows.tools[name], per) for name, per in bill["tools"].items()),
        "drying_hours": hours,
        "drying_tool_id": None if tool is None else rows.tools[tool],
    }


def count_stock(studio: Studio, rows: KitRows) -> None:
    """Count what is on hand on the demo's day, before anything is taken for the classes to come."""
    for name, entry in _data()["materials"].items():
        studio.do(CountStock(material_id=rows.materials[name], note="counted", **_stock(entry)))


def _stock(entry: dict[str, Any]) -> dict[str, Any]:
    """Things and sheets by number, rolls and reels as one begun length."""
    stock = entry["stock"]
    return {"whole": stock} if isinstance(stock, int) else {"lengths": (stock,)}


def _entries(entry: dict[str, Any]) -> dict[str, Any]:
    """Entries of a command: sums in minor units, days and hours as such."""
    found: dict[str, Any] = {}
    for key, value in entry.items():
        if key in _SUMS:
            found[f"{key}_minor"] = _minor(value)
        elif key in _DAYS:
            found[key] = dt.date.fromisoformat(value)
        else:
            found[key] = value
    return found


def _minor(text: str) -> int:
    return int(Decimal(text) * 100)
