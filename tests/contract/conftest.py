"""What contract tests share."""

import pytest
from django.core.cache import cache


@pytest.fixture(autouse=True)
def _fresh_limits() -> None:
    cache.clear()
