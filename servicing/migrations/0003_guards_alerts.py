"""The life of an alert, each put-off and each look that was asked for cannot be rewritten or taken away."""

from django.db import migrations

from fleet.append_only import guard

FINDING_CHANGE = [
    "id", "operator_id", "strut_id", "tyre_id", "leg_id", "at", "finding_before", "finding", "level_before", "level",
    "evidence",
]  # fmt: skip
REINSPECTION = [
    "id", "operator_id", "strut_id", "tyre_id", "reason", "look_for", "opened_at", "counts_from", "cause_id",
    "asked_landings", "asked_hours",
]  # fmt: skip


class Migration(migrations.Migration):
    dependencies = [("servicing", "0002_guards")]

    operations = [
        guard("servicing_finding_change", FINDING_CHANGE),
        guard("servicing_alert", ["id", "operator_id", "strut_id", "tyre_id", "opened_at"]),
        guard("servicing_alert_event"),
        guard("servicing_reinspection", REINSPECTION),
        guard("servicing_put_off"),
    ]
