"""Usage, work and completed record entries cannot be rewritten or taken away."""

from django.db import migrations

from fleet.append_only import guard

USAGE = [
    "id", "operator_id", "aircraft_id", "ended_at", "received_at", "flights", "landings", "hours", "brought_forward",
    "hard_landing", "note", "corrects_id", "correction_reason",
]  # fmt: skip
SERVICING = [
    "id", "operator_id", "leg_id", "strut_id", "tyre_id", "done_at", "received_at", "work", "as_read",
    "extension_before_in", "extension_after_in", "pressure_before_psig", "pressure_after_psig", "temperature_f",
    "strokes", "fluid_added_in3", "equipment_id", "top_up_id", "done_by", "note", "corrects_id", "correction_reason",
    "withdrawn",
]  # fmt: skip
TOP_UP = [
    "id", "operator_id", "leg_id", "strut_id", "started_at", "started_by_id", "target_in", "tolerance_in",
    "overshoot_chance", "hose_filled_first",
]  # fmt: skip
TOP_UP_STEP = [
    "id", "operator_id", "top_up_id", "sequence", "at", "received_at", "person_id", "amount", "counted", "released",
    "hose_connected", "equipment_id", "as_read", "extension_before_in", "extension_in", "exercised", "temperature_f",
    "fuel_lb", "occupants_lb", "temperature_used_f", "load_lbf", "corrected_before_in", "corrected_in", "uncertainty_in",
    "corrects_id", "correction_reason", "withdrawn",
]  # fmt: skip


class Migration(migrations.Migration):
    dependencies = [("servicing", "0003_guards_alerts"), ("fleet", "0002_guards")]

    operations = [
        guard("servicing_usage", USAGE),
        guard("servicing_servicing", SERVICING),
        guard("servicing_top_up", TOP_UP),
        guard("servicing_top_up_step", TOP_UP_STEP),
        guard("servicing_record_entry", when="OLD.completed_at IS NOT NULL"),  # drafts may change
    ]
