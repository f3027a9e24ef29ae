"""Parts of answers, and Reference Strut A (invented; the published strut values are worked for it)."""

from typing import Any

STRUT_A = {
    "tube_diameter": "2 in",
    "gas_column": {"value": 1.5 / 3.141592653589793, "unit": "in"},
    "fluid_volume": "30 in3",
    "fluid_expansion_per_k": 8.6e-4,  # from memory, source not seen
    "full_extension": "8 in",
    "target_extension": "3.25 in",
    "reference_load": "800 lbf",
    "reference_temperature": "15 degC",
    "figures_temperature": "15 degC",
}
IDEAL_A = {**STRUT_A, "gas": "ideal"}
REST_A = {"strut": STRUT_A, "extension": "3.25 in", "temperature": "15 degC", "load": "800 lbf"}


def part(answer: Any, place: str) -> Any:
    """Return a part of an answer by its dotted place; of a quantity its number."""
    for name in place.split("."):
        answer = answer[int(name)] if isinstance(answer, list) else answer[name]
    return answer["value"] if isinstance(answer, dict) and "unit" in answer else answer
