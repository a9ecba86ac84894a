"""The door of the program: the command line, or the screens where there is a terminal for them."""

from __future__ import annotations

import sys
from collections.abc import Sequence

DONE, REFUSED, USAGE, FAULT = 0, 1, 2, 70
"""What the program's exit status means."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the program with these arguments (the process's own when None); gives the exit status."""
    from tui.lines.entry import run

    return run(list(sys.argv[1:] if arguments is None else arguments))


if __name__ == "__main__":
    sys.exit(main())
