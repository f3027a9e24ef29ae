"""A club for each journey."""

import pytest
from django.core.cache import cache

from tests.journeys.flying_club import FlyingClub


@pytest.fixture
def club(db: None) -> FlyingClub:
    cache.clear()
    return FlyingClub()
