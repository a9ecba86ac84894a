"""The same settings as for the tests that press keys."""

from tests.pilot.conftest import pytest_pyfunc_call as pytest_pyfunc_call
