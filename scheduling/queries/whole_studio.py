"""The whole studio as JSON: documented in scheduling/STUDIO-JSON.md, read back by scheduling/copying_in.py."""

from __future__ import annotations

import json
from dataclasses import dataclass

from scheduling.errors import StoreError
from scheduling.store.plain_form import plain_form
from scheduling.store.rows import Reader


@dataclass(frozen=True, slots=True)
class WholeStudio:
    """Every table but the history as UTF-8 JSON, a row a line; the same studio gives the same octets."""

    def fetch(self, reader: Reader) -> bytes:
        if reader.value("SELECT 1 FROM studio") is None:
            raise StoreError("The file holds no studio yet.", hint="Set one up first.")
        plain = plain_form(reader)
        tables = plain.pop("tables")
        lines = [f'"{key}": {_json(value)}' for key, value in plain.items()]
        lines.append('"tables": {\n' + ",\n".join(_table(name, rows) for name, rows in tables.items()) + "\n}")
        return ("{\n" + ",\n".join(lines) + "\n}\n").encode()


def _table(name: str, rows: list[dict[str, object]]) -> str:
    return f'"{name}": [' + ",".join(f"\n{_json(row)}" for row in rows) + "]"


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)
