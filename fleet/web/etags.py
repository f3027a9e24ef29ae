"""Strong entity tags: of rows by their version, of everything else by its content."""

import hashlib
import json
from typing import Any

from django.utils.http import parse_etags
from rest_framework.request import Request

from fleet.refusals import Refused, Stale


class MatchRequired(Refused):
    """A change came without saying which state it changes."""

    status = 428
    code = "if_match_required"


def etag_for(*parts: Any) -> str:
    """Return the strong tag of ``parts``.

    The first part, when an integer, is the row's version and stays readable, so that a tag read in
    one unit system still matches a change made in another: ``"3.9fe1..."``.
    """
    version = [str(parts[0])] if parts and isinstance(parts[0], int) else []
    rest = parts[1:] if version else parts
    digest = [hashlib.sha256(json.dumps(rest, default=str).encode()).hexdigest()[:32]] if rest else []
    return '"' + ".".join(version + digest) + '"'


def require_match(request: Request, version: int) -> None:
    """Raise 428 without If-Match, 412 when it names another version than ``version``."""
    header = request.headers.get("If-Match", "")
    if not header.strip():
        raise MatchRequired("send If-Match with the ETag of the state that you change")
    tags = parse_etags(header)
    named = {tag.strip('"').partition(".")[0] for tag in tags if not tag.startswith("W/")}
    if tags != ["*"] and str(version) not in named:
        raise Stale("this has changed since you read it; read it again, then change it")


def not_modified(request: Request, etag: str) -> bool:
    """Say whether the caller already has ``etag``; `OperatorView.answer` then sends 304."""
    tags = parse_etags(request.headers.get("If-None-Match", ""))
    return "*" in tags or etag in {tag.removeprefix("W/") for tag in tags}
