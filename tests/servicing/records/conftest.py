"""A desk with paper on it for every test of records."""

import pytest
from rest_framework.test import APIClient

from tests.builders.fleet import an_operator
from tests.builders.records import Desk, a_desk
from tests.servicing.callers import caller_of


@pytest.fixture
def desk(db: None) -> Desk:
    """Return a club whose mechanic signs."""
    return a_desk()


@pytest.fixture
def stranger(db: None) -> APIClient:
    """Return a caller who may do everything, but for another club."""
    return caller_of(an_operator())


@pytest.fixture
def member(desk: Desk) -> APIClient:
    """Return a caller of the club who may not do or sign work."""
    return caller_of(desk.club, "member")
