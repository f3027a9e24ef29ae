"""Bodies to start from, by operation, for operations whose own module shows none."""

from typing import Any

ROW = "7f0c6a52-64a3-4b8a-9d0e-2f1d7a9b3c10"
WHEN = "2026-03-02T09:30:00Z"
PLACE = {"aircraft": "XX-1234", "leg": "left main"}

USAGE = {"aircraft": "XX-1234", "ended_at": WHEN, "flights": 1, "landings": 4, "hours": 1.2}
READING = {
    **PLACE,
    "taken_at": WHEN,
    "extension": "4 1/4 in",
    "temperature": "41 degF",
    "fuel": "180 lb",
    "exercised": True,
    "fluid_seen": "dry",
}
TYRE_READING = {
    **PLACE,
    "taken_at": WHEN,
    "pressure": {"value": 29.5, "unit": "psi"},
    "temperature": "41 degF",
    "tread": "0.21 in",
}
SERVICING = {
    **PLACE,
    "done_at": WHEN,
    "work": "gas added",
    "extension_before": "3 7/8 in",
    "extension_after": "4 1/2 in",
    "strokes": 3,
    "equipment": "Strut pump",
}
LOOK = {"at": WHEN, "extension": "3 7/8 in", "exercised": "rocked", "temperature": "41 degF", "fuel": "180 lb"}

BODIES: dict[str, dict[str, Any]] = {
    "add_equipment": {
        "name": "Cylinder 1",
        "kind": "nitrogen cylinder",
        "water_volume": {"value": 50, "unit": "L"},
    },
    "change_equipment": {"calibration_due": "2027-03-01", "calibrated_on": "2026-03-01"},
    "log_cylinder_pressure": {"taken_at": WHEN, "pressure": "2150 psi", "temperature": "41 degF"},
    "add_usage": USAGE,
    "add_usages": {"usage": [USAGE]},
    "correct_usage": {"reason": "landings counted twice", "usage": {**USAGE, "landings": 2}},
    "add_reading": READING,
    "add_readings": {"readings": [READING]},
    "correct_reading": {"reason": "read from the wrong end", "reading": {**READING, "extension": "4 1/2 in"}},
    "withdraw_reading": {"reason": "taken at another aircraft"},
    "add_tyre_reading": TYRE_READING,
    "add_tyre_readings": {"readings": [TYRE_READING]},
    "correct_tyre_reading": {"reason": "typing slip", "reading": {**TYRE_READING, "pressure": "28.5 psi"}},
    "withdraw_tyre_reading": {"reason": "taken at another aircraft"},
    "add_servicing": SERVICING,
    "add_servicings": {"servicings": [SERVICING]},
    "correct_servicing": {"reason": "four strokes, not three", "servicing": {**SERVICING, "strokes": 4}},
    "start_top_up": {**PLACE, "equipment": "Strut pump", "look": LOOK},
    "change_top_up": {"equipment": "Strut pump"},
    "add_dose": {**LOOK, "amount": 2, "extension": "4 1/4 in"},
    "correct_top_up_step": {
        "reason": "three strokes, not two",
        "step": {**LOOK, "amount": 3, "extension": "4 1/4 in"},
    },
    "add_look": LOOK,
    "finish_top_up": {"note": "rocked twice, length held"},
    "draft_record_entry": {"servicing": ROW},
    "change_record_entry": {"performed_by": "Ada Example", "work_completed_on": "2026-03-02"},
    "complete_record_entry": {"signature": "Ada Example", "advice_read": True},
    "amend_record_entry": {"reason": "total time was missing"},
    "request_reinspection": {
        "leg": ROW,
        "part": "strut",
        "look_for": "late settling after the top-up",
        "due_on": "2026-03-09",
    },
    "put_off_reinspection": {"due_on": "2026-03-16", "reason": "the aircraft is away"},
    "close_reinspection": {"reason": "looked at together with the annual"},
    "put_off_alert": {"until": "2026-03-16", "reason": "seal kit ordered"},
}


def add_examples(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Return the document with an example for each body that has none."""
    operations = [operation for item in result["paths"].values() for operation in item.values()]
    for operation in operations:
        body = operation.get("requestBody", {}).get("content", {}).get("application/json")
        example = BODIES.get(operation["operationId"])
        if body is not None and example is not None:
            body.setdefault("examples", {"Example": {"value": example}})
    return result
