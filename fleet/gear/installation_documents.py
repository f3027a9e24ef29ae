"""What the OpenAPI document says about the operations of installations."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema

from fleet.gear.kinds import PartKind
from fleet.gear.shapes import (
    InstallationAnswer,
    InstallationChange,
    InstallationInput,
    MoveInput,
    RemovalInput,
    ReplacementInput,
    SwapAnswer,
    SwapInput,
)
from fleet.web.schema import PAGE, page_of

LEG = "2b0d9e6e-6f0a-4c39-8f0d-0d4f5c1a7e21"
OTHER = "c4a1f3de-9a57-4a1f-8a6b-5a1f0f6f9b02"
WHEN = "2026-03-02T09:30:00Z"


def _operation(
    name: str, summary: str, *, body: Any = None, example: Any = None, answer: Any = InstallationAnswer, **more: Any
) -> Any:
    examples = [OpenApiExample("example", example, request_only=True)] if example else None
    return extend_schema(
        operation_id=name, summary=summary, request=body, responses=answer, examples=examples, **more
    )


def installation_documents(kind: PartKind) -> dict[str, dict[str, Any]]:
    """Return, by view and method, what is said of the operations of struts or of tyres."""
    noun, created = kind.noun, {201: InstallationAnswer}
    return {
        "InstallationsView": {
            "get": _operation(
                f"list_{noun}_installations",
                f"Where a {noun} was, newest first",
                answer=page_of(InstallationAnswer),
                parameters=PAGE,
            ),
            "post": _operation(
                f"install_{noun}",
                f"Put a {noun} on a leg",
                body=InstallationInput,
                example={"leg": LEG, "installed_at": WHEN},
                answer=created,
            ),
        },
        "InstallationView": {
            "get": _operation(f"get_{noun}_installation", f"One installation of a {noun}"),
            "patch": _operation(
                f"correct_{noun}_installation",
                f"Put the installation of a {noun} right",
                body=InstallationChange(partial=True),
                example={"installed_at": WHEN},
            ),
            "delete": _operation(
                f"withdraw_{noun}_installation",
                f"Take back an installation of a {noun} that never was",
                answer={204: None},
            ),
        },
        "RemovalView": {
            "post": _operation(
                f"remove_{noun}",
                f"Take a {noun} off its leg",
                body=RemovalInput,
                example={"removed_at": WHEN, "reason": "to be overhauled"},
            )
        },
        "MoveView": {
            "post": _operation(
                f"move_{noun}",
                f"Take a {noun} to another leg",
                body=MoveInput,
                example={"leg": LEG, "moved_at": WHEN, "reason": "the other one is away"},
                answer=created,
            )
        },
        "SwapView": {
            "post": _operation(
                f"swap_{kind.plural}",
                f"Let two {kind.plural} change places",
                body=SwapInput,
                example={"other": OTHER, "swapped_at": WHEN, "reason": "uneven wear"},
                answer={201: SwapAnswer},
            )
        },
        "ReplacementView": {
            "post": _operation(
                f"replace_{noun}",
                f"Put another {noun} in the place of this",
                body=ReplacementInput,
                example={"by": OTHER, "replaced_at": WHEN, "reason": "worn"},
                answer=created,
            )
        },
    }
