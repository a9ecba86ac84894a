"""What all tests share: a fixed zone, language and terminal; the option --all; the budget of property tests."""

from __future__ import annotations

import os
import time

import pytest
from hypothesis import HealthCheck, settings

# Before anything of ours reads them: the machine's own zone, colours and language must not matter.
os.environ["TZ"] = "Pacific/Auckland"
os.environ["LANG"] = "C.UTF-8"
os.environ["COLORTERM"] = "truecolor"
os.environ["TEXTUAL_ANIMATIONS"] = "none"
for name in [name for name in os.environ if name == "NO_COLOR" or name.startswith(("TEXTUAL_T", "KITWRIGHT_"))]:
    del os.environ[name]
time.tzset()

_CALM = [HealthCheck.too_slow, HealthCheck.data_too_large]
settings.register_profile("quick", max_examples=40, deadline=None, derandomize=True, suppress_health_check=_CALM)
settings.register_profile("all", max_examples=250, deadline=None, derandomize=True, suppress_health_check=_CALM)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--all", action="store_true", help="also judges, long properties, fuzz, races and the wheel")


def pytest_configure(config: pytest.Config) -> None:
    settings.load_profile("all" if config.getoption("--all") else "quick")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("--all"):
        return
    skip = pytest.mark.skip(reason="runs with tests/run --all")
    for item in items:
        if item.get_closest_marker("all"):
            item.add_marker(skip)
