"""Keeps the collector of circular garbage out while a plan is made or a long sheet is read.

Either makes many thousands of small objects and no circles among them, and each pass of the collector would go through
all that the program holds: a fifth of the time of a large plan.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def collector_paused() -> Iterator[None]:
    """Nothing is collected within. Of several threads the one that paused it ends the pause."""
    if not gc.isenabled():
        yield
        return
    gc.disable()
    try:
        yield
    finally:
        gc.enable()
