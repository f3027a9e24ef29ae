"""Idempotency-Key: a repeated request gets the first answer again, byte for byte, and acts once.

The claim is committed first, on its own, so that a second request sees it. Effect and kept answer are
then committed together: a crash leaves either both or neither, and the claim frees itself by its time.
"""

import hashlib
import re
import uuid
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import wraps
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Q
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.utils import timezone
from rest_framework.request import Request

from fleet.people.models import Token
from fleet.refusals import Clash, FieldFault, Refused
from fleet.web.models import KeptAnswer

KEPT_FOR = timedelta(hours=24)
# A dead worker's claim is free after this. Should a slow one still live, only one of the two can keep its answer.
CLAIM_LASTS = timedelta(seconds=60)
KEPT_HEADERS = ("Content-Type", "Location", "ETag", "Link")
_KEY = re.compile(r"[\x21-\x7e]{1,255}")

Handler = Callable[..., HttpResponseBase]


class InProgress(Clash):
    """The same request is running at this moment."""

    code = "request_in_progress"
    headers = {"Retry-After": "2"}


class ClaimLost(InProgress):
    """Another worker took the claim over; this one's changes must not stay."""


class BadKey(Refused):
    """The key is not one."""

    status = 400
    code = "invalid_input"


def idempotent(handler: Handler) -> Handler:
    """Make a POST handler of an `OperatorView` honour Idempotency-Key."""

    @wraps(handler)
    def answer_once(view: Any, request: Request, *args: Any, **kwargs: Any) -> HttpResponseBase:
        key = request.headers.get("Idempotency-Key")
        if key is None:
            return handler(view, request, *args, **kwargs)
        claimed = claim(token=view.request.auth, key=key, request=request, now=timezone.now())
        if claimed.status is not None:
            return replay(claimed, repeated=True)
        try:
            with transaction.atomic():
                response = view.finalize_response(request, handler(view, request, *args, **kwargs))
                keep(claimed, response)
        except BaseException:
            # Nothing happened, so the same key may try again at once.
            release(claimed)
            raise
        return replay(claimed, repeated=False)

    answer_once.takes_idempotency_key = True  # type: ignore[attr-defined]  # read by the schema
    return answer_once


def claim(*, token: Token, key: str, request: Request, now: datetime) -> KeptAnswer:
    """Return the key's kept answer, or a fresh claim on it; refuse a key used for another request."""
    if not _KEY.fullmatch(key):
        message = "1 to 255 visible ASCII characters, such as a UUID"
        raise BadKey(message, faults=[FieldFault("Idempotency-Key", "invalid", message)])
    claim_values: dict[str, Any] = {
        "method": str(request.method),
        "path": request.path[:500],
        "body_digest": request_digest(request),
        "claimed_until": now + CLAIM_LASTS,
        "expires_at": now + KEPT_FOR,
    }
    try:
        with transaction.atomic():
            return KeptAnswer.objects.create(
                id=uuid.uuid4(), operator_id=token.operator_id, token=token, key=key, **claim_values
            )
    except IntegrityError:
        return _take_over(token=token, key=key, claim_values=claim_values, now=now)


def _take_over(*, token: Token, key: str, claim_values: dict[str, Any], now: datetime) -> KeptAnswer:
    rows = KeptAnswer.objects.of(token.operator_id).filter(token=token, key=key)
    free = Q(expires_at__lte=now) | Q(
        status__isnull=True,
        claimed_until__lte=now,
        **{name: claim_values[name] for name in ("method", "path", "body_digest")},
    )
    if rows.filter(free).update(**claim_values, status=None, headers={}, body=None):
        return rows.get()
    kept = rows.first()
    if kept is None:
        raise InProgress("the same request has just ended without effect; send it again")
    if any(getattr(kept, name) != claim_values[name] for name in ("method", "path", "body_digest")):
        raise Refused(
            "this Idempotency-Key was used for another request; use a new key for each", code="idempotency_key_reused"
        )
    if kept.status is None:
        raise InProgress("the same request is running; wait, then send it again to get its answer")
    return kept


def request_digest(request: Request) -> str:
    """Return the digest of query and body, both of which decide what a request does."""
    query = str(request.META.get("QUERY_STRING", "")).encode()
    return hashlib.sha256(query + b"\n" + request.body).hexdigest()


def keep(claimed: KeptAnswer, response: HttpResponseBase) -> None:
    """Write the answer into the claim, inside the transaction of the effect."""
    if isinstance(response, HttpResponse) and hasattr(response, "render"):
        response.render()
    if not isinstance(response, HttpResponse):
        raise TypeError("a streamed answer cannot be kept: do not mark its handler idempotent")
    values = {
        "status": response.status_code,
        "headers": {name: response[name] for name in KEPT_HEADERS if name in response},
        "body": response.content,
    }
    mine = KeptAnswer.objects.of(claimed.operator_id).filter(
        pk=claimed.pk, claimed_until=claimed.claimed_until, status__isnull=True
    )
    if not mine.update(**values):
        raise ClaimLost("the same request, sent again, has overtaken this one; send it again to get its answer")
    for name, value in values.items():
        setattr(claimed, name, value)


def release(claimed: KeptAnswer) -> None:
    """Free a claim whose request had no effect."""
    KeptAnswer.objects.of(claimed.operator_id).filter(
        pk=claimed.pk, claimed_until=claimed.claimed_until, status__isnull=True
    ).delete()


def replay(kept: KeptAnswer, *, repeated: bool) -> HttpResponse:
    """Return the kept answer; first and repeated answers are built from the same bytes."""
    answer = HttpResponse(bytes(kept.body or b""), status=kept.status)
    for name, value in kept.headers.items():
        answer[name] = value
    answer["Idempotency-Replayed"] = "true" if repeated else "false"
    return answer


def forget_expired_answers(*, now: datetime) -> int:
    """Delete answers past their time; a job of the installation."""
    deleted, _ = KeptAnswer.objects.across_operators().filter(expires_at__lte=now).delete()
    return deleted
