"""Adds the problem answers to every operation of the OpenAPI document."""

from typing import Any

from fleet.web.problems import MEDIA_TYPE

PROBLEM = {
    "type": "object",
    "description": "A problem document, RFC 9457.",
    "required": ["type", "title", "status", "detail", "code", "errors"],
    "properties": {
        "type": {"type": "string", "format": "uri"},
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string", "description": "What was wrong and what would be right."},
        "code": {"type": "string", "description": "Stable; programs may rely on it."},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["field", "code", "message"],
                "properties": {
                    "field": {"type": "string", "examples": ["readings.3.extension"]},
                    "code": {"type": "string"},
                    "message": {"type": "string"},
                },
            },
        },
    },
}
MEANINGS = {
    "304": "Not modified: what you have still holds.",
    "400": "The request is not as documented.",
    "401": "No token, or one that is unknown, expired or revoked.",
    "403": "The role or the token's scope does not allow this.",
    "404": "No such thing of this operator.",
    "406": "No representation of the media type asked for.",
    "409": "The change contradicts what is already there, or the same request is running.",
    "412": "If-Match names another state than the present one.",
    "413": "The body is larger than this service takes.",
    "415": "The body's media type is not taken here.",
    "422": "The request is well formed, but cannot be done as it stands.",
    "428": "If-Match is missing.",
    "429": "Too many requests; see Retry-After.",
    "503": "The store is busy; see Retry-After.",
}
METHODS = ("get", "post", "put", "patch", "delete")


def add_problem_answers(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Return the document with the answers that every operation may give."""
    components = result["components"]
    components.setdefault("schemas", {})["Problem"] = PROBLEM
    components["responses"] = {f"Problem{status}": _answer(status) for status in MEANINGS}
    for path, item in result["paths"].items():
        for method in METHODS:
            if method in item:
                operation = item[method]
                for status in _statuses(path, method, operation):
                    operation["responses"].setdefault(status, {"$ref": f"#/components/responses/Problem{status}"})
    return result


def _statuses(path: str, method: str, operation: dict[str, Any]) -> list[str]:
    headers = {parameter["name"] for parameter in operation.get("parameters", []) if parameter["in"] == "header"}
    statuses = {"400", "406", "429", "503"}
    if {"bearerToken": []} in operation.get("security", []):
        statuses |= {"401", "403"}
    if "{" in path:
        statuses.add("404")
    if method != "get":
        # A POST names other rows in its body, and those may be another operator's.
        statuses |= {"404", "409", "413", "415", "422"}
    if "If-Match" in headers:
        statuses |= {"412", "428"}
    if "If-None-Match" in headers:
        statuses.add("304")
    return sorted(statuses)


def _answer(status: str) -> dict[str, Any]:
    if status == "304":
        return {"description": MEANINGS[status]}
    return {
        "description": MEANINGS[status],
        "content": {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}},
    }
