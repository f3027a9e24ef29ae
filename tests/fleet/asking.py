"""Short ways to read answers in endpoint tests."""

from typing import Any


def faults(answer: Any) -> set[tuple[str, str]]:
    """Return the (field, code) pairs of a problem document."""
    return {(error["field"], error["code"]) for error in answer.json()["errors"]}


def refused(answer: Any) -> tuple[int, str]:
    """Return status and code of a problem document."""
    assert answer["Content-Type"] == "application/problem+json"
    return answer.status_code, answer.json()["code"]


def match(version: int = 1) -> dict[str, str]:
    """Return the If-Match header for a version."""
    return {"If-Match": f'"{version}"'}
