"""When inspections fall due and how long records are kept."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations import record_rules as rules
from calculations.record_check import latest_release_on
from calculations.record_dates import due_after_calendar_months, hundred_hour_due, retention_met_on
from calculations.record_rules import Jurisdiction
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.given import given_only, together
from servicing.calculators.records import PART_ML, jurisdiction_field


class DatesInput(InputSerializer):
    """When work was done; hours for a 100 h inspection."""

    done_on = serializers.DateField()
    months = serializers.IntegerField(required=False, min_value=1, max_value=600, help_text="12 when left out.")
    superseded_on = serializers.DateField(required=False)
    due_hours = QuantityField("flight_time", required=False, help_text="Total time at which it was due.")
    done_hours = QuantityField("flight_time", required=False, help_text="Total time at which it was done.")
    rules_of = jurisdiction_field()

    def validate(self, values: dict[str, Any]) -> dict[str, Any]:
        """Return the values; hours come in pairs."""
        if ("due_hours" in values) != ("done_hours" in values):
            missing = "done_hours" if "due_hours" in values else "due_hours"
            raise serializers.ValidationError({missing: ["Needed with the other hours."]}, code="required")
        return values


class DatesAnswer(CalculatorAnswer):
    """When things fall due."""

    inspection_due_on = serializers.CharField(help_text="Last day on which the calendar interval holds.")
    release_due_on = serializers.CharField(allow_null=True, help_text="Null where this service knows no such rule.")
    retention_met_on = serializers.CharField(help_text="This service keeps the record anyway.")
    next_due_hours = QuantityField("flight_time", allow_null=True)
    excess_hours = QuantityField("flight_time", allow_null=True)
    excess_allowed = serializers.BooleanField(allow_null=True, help_text="Only en route to the place of inspection.")


def _dates(values: Mapping[str, Any]) -> Worked:
    done = values["done_on"]
    due, kept, hours = together(
        lambda: due_after_calendar_months(done, **given_only(values, months="months")),
        lambda: retention_met_on(done, values.get("superseded_on")),
        lambda: hundred_hour_due(values["due_hours"], values["done_hours"]) if "due_hours" in values else None,
    )
    return Worked(
        {
            "inspection_due_on": due,
            "release_due_on": latest_release_on(done, Jurisdiction(values["rules_of"])),
            "retention_met_on": kept,
            "next_due_hours": hours and hours.next_due_h,
            "excess_hours": hours and hours.excess_h,
            "excess_allowed": hours and hours.excess_allowed,
        },
        sources=(rules.ANNUAL.reference, rules.HUNDRED_HOURS.reference, rules.KEEP_WORK_RECORDS.reference, PART_ML),
        assumptions=("Inspection and retention are told by US rules (from memory, source not seen).",),
    )


CALCULATORS: Final = (
    Calculator(
        "records/dates",
        "find_record_dates",
        "When inspections fall due and how long records are kept",
        DatesInput,
        DatesAnswer,
        _dates,
        {"done_on": "2026-03-14", "due_hours": "1100 h", "done_hours": "1104 h"},
        names={"due_h": "due_hours", "done_h": "done_hours"},
    ),
)
