"""Callers for endpoint tests."""

from tests.fleet.conftest import _fresh_limits as _fresh_limits
from tests.fleet.conftest import client_of as client_of
