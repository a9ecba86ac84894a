"""Screens under test look the same everywhere: no colour or animation settings of the person who runs the tests."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

for name in [name for name in os.environ if name == "NO_COLOR" or name.startswith("TEXTUAL")]:
    del os.environ[name]
os.environ["TEXTUAL_ANIMATIONS"] = "none"  # read when Textual is imported
os.environ["COLORTERM"] = "truecolor"

from scheduling.studio import Studio  # noqa: E402  (after the settings)
from tests.support.demo_studio import demo_copy  # noqa: E402
from tests.support.running import pytest_pyfunc_call as pytest_pyfunc_call  # noqa: E402  (after the settings)


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    """The demo studio in a file of its own, as it is when it has just been made."""
    with Studio(str(demo_copy(tmp_path))) as demo:
        yield demo
