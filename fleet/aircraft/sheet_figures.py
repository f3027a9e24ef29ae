"""What the figures of a type sheet must be among themselves."""

from collections.abc import Mapping
from typing import Any

from fleet.refusals import FieldFault


def faults_of_sheet(values: Mapping[str, Any]) -> list[FieldFault]:
    """Return every contradiction among the figures, by the field that a person would change."""
    low, target, high = (values[name] for name in ("low_limit_in", "target_extension_in", "high_limit_in"))
    full = values.get("full_extension_in")
    faults = []
    if low >= target:
        faults.append(
            FieldFault(
                "low_limit", "limits_out_of_order", f"must be below the target of {target:.4g} in, not {low:.4g}"
            )
        )
    if high <= target:
        faults.append(
            FieldFault(
                "high_limit", "limits_out_of_order", f"must be above the target of {target:.4g} in, not {high:.4g}"
            )
        )
    if full is not None and high > full:
        faults.append(
            FieldFault(
                "high_limit",
                "beyond_full_extension",
                f"must not exceed the full extension of {full:.4g} in, all the tube there is; it is {high:.4g}",
            )
        )
    return faults
