"""Runs tests that are coroutines; a conftest imports the hook where its folder has such tests."""

from __future__ import annotations

import asyncio
import inspect

import pytest


@pytest.hookimpl(tryfirst=True)
def pytest_pyfunc_call(pyfuncitem: pytest.Function) -> bool | None:
    """Run a coroutine test to its end in a loop of its own; leave all others to pytest."""
    if not inspect.iscoroutinefunction(pyfuncitem.obj):
        return None
    wanted = inspect.signature(pyfuncitem.obj).parameters
    asyncio.run(pyfuncitem.obj(**{name: pyfuncitem.funcargs[name] for name in wanted}))
    return True
