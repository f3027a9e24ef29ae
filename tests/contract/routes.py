"""Every route of the API, read from the URL configuration itself."""

import re
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver

PREFIX = "api/v1/"
# Answer anyone: the documentation, and addresses that carry their own authority.
OPEN = {"openapi.yaml", "docs/"}


@dataclass(frozen=True, slots=True)
class Route:
    """One method of one address."""

    method: str
    address: str
    view: Any

    @property
    def key(self) -> str:
        """The line of the tables."""
        return f"{self.method} {self.address}"

    def url(self, rows: Mapping[str, Any]) -> str:
        """Return the address with the ids of rows, each by the words that stand before it."""
        return (
            "/"
            + PREFIX
            + re.sub(
                r"([\w-]+)/<\w+:(\w+)>", lambda part: f"{part[1]}/{rows.get(part[1], uuid.UUID(int=0))}", self.address
            )
        )


def patterns() -> Iterator[tuple[str, URLPattern]]:
    """Yield every pattern of the service with its whole address."""
    yield from _walk(get_resolver().url_patterns, "")


def api_routes() -> list[Route]:
    """Return every method of every address under ``/api/v1/`` but the documentation."""
    found = []
    for address, pattern in patterns():
        short = address.removeprefix(PREFIX)
        if not address.startswith(PREFIX) or short in OPEN:
            continue
        view = pattern.callback.view_class  # type: ignore[attr-defined]  # class-based views have it
        methods = [name for name in view.http_method_names if hasattr(view, name) and name not in ("head", "options")]
        found += [Route(method.upper(), short, view) for method in methods]
    return found


def _walk(inner: list[Any], prefix: str) -> Iterator[tuple[str, URLPattern]]:
    for pattern in inner:
        address = prefix + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from _walk(pattern.url_patterns, address)
        else:
            yield address, pattern
