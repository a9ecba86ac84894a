"""`python -m tests.bench NAME`: figures beside a baseline of the same run; the last line is JSON."""

from __future__ import annotations

import json
import sys
from importlib import import_module

BENCHES = {
    "screens": "start, keys, a booking and memory, beside a bare app and a bare insert",
    "planner": "plans of studios, speed and growth, and an academic set",
    "cutting": "cut plans beside their bounds, and academic sets",
    "queries": "what a screen key waits for, on 50,000 bookings over 2,000 classes",
    "files": "calendars and sheets read and written, beside the libraries alone",
}


def main() -> int:
    if len(sys.argv) < 2 or sys.argv[1] not in BENCHES:
        print("usage: python -m tests.bench NAME")
        for name, about in BENCHES.items():
            print(f"  {name:10} {about}")
        return 2
    figures = import_module(f"tests.bench.{sys.argv[1]}").main(sys.argv[2:])
    print(json.dumps(figures))
    return 0


if __name__ == "__main__":
    sys.exit(main())
