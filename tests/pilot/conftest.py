"""Screens under test look the same everywhere: no colour or animation settings of the person who runs the tests."""

from __future__ import annotations

import os

for name in [name for name in os.environ if name == "NO_COLOR" or name.startswith("TEXTUAL")]:
    del os.environ[name]
os.environ["TEXTUAL_ANIMATIONS"] = "none"  # read when Textual is imported
os.environ["COLORTERM"] = "truecolor"

from tests.support.running import pytest_pyfunc_call as pytest_pyfunc_call  # noqa: E402  (after the settings)
