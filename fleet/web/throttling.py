"""Generous limits, counted in the shared cache: per token, and for failed authentications per address."""

from __future__ import annotations

import logging
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.conf import settings
from django.core.cache import cache
from django.http import HttpRequest
from redis.exceptions import RedisError
from rest_framework import exceptions
from rest_framework.request import Request
from rest_framework.throttling import BaseThrottle

if TYPE_CHECKING:
    from rest_framework.views import APIView  # at run time it imports the settings that name this module

WINDOW_S = 60
FAILED_AUTHENTICATIONS_PER_WINDOW = 60
logger = logging.getLogger("undercart.web")


@dataclass(frozen=True, slots=True)
class Allowance:
    """What is left of one limit in the running window."""

    policy: str
    limit: int
    remaining: int
    reset_s: int

    def headers(self) -> dict[str, str]:
        """Return the RateLimit header fields."""
        return {
            "RateLimit-Policy": f'"{self.policy}";q={self.limit};w={WINDOW_S}',
            "RateLimit": f'"{self.policy}";r={self.remaining};t={self.reset_s}',
        }


def take(policy: str, whose: str, limit: int) -> tuple[bool, Allowance]:
    """Count one use and say whether the limit still holds; without a cache nothing is limited."""
    now = time.time()
    window, passed = divmod(int(now), WINDOW_S)
    key = f"limit:{policy}:{whose}:{window}"
    try:
        cache.add(key, 0, timeout=2 * WINDOW_S)
        used = cache.incr(key)
    except (RedisError, OSError, ValueError):
        # ValueError: the entry was evicted between the two calls.
        logger.warning("limit not counted: the cache did not answer")
        used = 0
    return used <= limit, Allowance(policy, limit, max(limit - used, 0), WINDOW_S - passed)


def count_failed_authentication(request: Request | HttpRequest) -> exceptions.Throttled | None:
    """Count a failure of this address; return the refusal once there were too many.

    Only failing requests are refused: whoever shares the address and has a good token goes on working.
    """
    address = request.META.get("REMOTE_ADDR", "")
    allowed, allowance = take("failed-authentication", address, FAILED_AUTHENTICATIONS_PER_WINDOW)
    return None if allowed else exceptions.Throttled(wait=allowance.reset_s)


class TokenThrottle(BaseThrottle):
    """Requests of one token per minute."""

    allowance: Allowance

    def allow_request(self, request: Request, view: APIView) -> bool:
        """Count the request; the allowance is kept on it for the answer's header fields."""
        limit = getattr(settings, "REQUESTS_PER_MINUTE", 1200)
        allowed, self.allowance = take("per-token", str(request.auth.pk if request.auth else ""), limit)
        request._request.allowance = self.allowance  # type: ignore[attr-defined]  # read in OperatorView
        return allowed

    def wait(self) -> float:
        """Return the seconds until the window ends."""
        return self.allowance.reset_s
