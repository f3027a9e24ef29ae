"""Readings are append-only: what was read never changes, what is derived from it may be made anew."""

from django.db import migrations

from fleet.append_only import guard

READING = [
    "id",
    "operator_id",
    "leg_id",
    "taken_at",
    "received_at",
    "as_read",
    "temperature_f",
    "gauge_id",
    "gauge_overdue",
    "taken_by",
    "note",
    "source",
    "corrects_id",
    "correction_reason",
    "withdrawn",
]
STRUT = [
    "extension_in",
    "fuel_lb",
    "occupants_lb",
    "leg_load_lbf",
    "exercised",
    "pressure_psig",
    "fluid_seen",
    "fluid_level",
    "observations",
]
TYRE = ["pressure_psig", "hot", "loaded", "tread_in"]


class Migration(migrations.Migration):
    dependencies = [("servicing", "0001_initial")]

    operations = [
        guard("servicing_strut_reading", READING + STRUT),
        guard("servicing_tyre_reading", READING + TYRE),
    ]
