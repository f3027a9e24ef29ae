"""What qualifies a standing, in words and in the caller's units."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from calculations.strut_pressure import PressureVerdict
from servicing.readings.judgement_words import length_in_words
from servicing.readings.pressure_words import pressure_in_words
from servicing.readings.pressures import PressureAtRest


def qualifications(evidence: Mapping[str, Any], unit_system: str) -> dict[str, str]:
    """Return each qualification of a strut's standing as a text, by its name in the evidence."""
    found = {}
    if step := evidence.get("single_step"):
        found["single_step"] = _step_in_words(step, unit_system)
    if check := evidence.get("pressure_check"):
        figures = {name: value for name, value in check.items() if name not in ("reading", "verdict")}
        pressure = PressureAtRest(**figures, verdict=PressureVerdict(check["verdict"]))
        found["pressure_check"] = pressure_in_words(pressure, unit_system)
    return found


def _step_in_words(step: Mapping[str, Any], unit_system: str) -> str:
    down = length_in_words(step["down_in"], unit_system)
    about, earliest, latest = (_day(step[name]) for name in ("on", "earliest", "latest"))
    return (
        f"The readings fit a single step down by {down}, about {about} ({earliest} to {latest}), better than a "
        "steady loss. Was gas let out then, or another length measured? If so, enter it with its day, and the "
        "history is assessed anew. A loss that is topped up and never entered looks the same, so it stands as a "
        "loss until then."
    )


def _day(iso: str) -> str:
    day = date.fromisoformat(iso)
    return f"{day.day} {day:%B %Y}"
