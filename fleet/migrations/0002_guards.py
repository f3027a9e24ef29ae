"""The audit trail is append-only, and no part or leg is taken twice at a time."""

from django.db import migrations

from fleet.append_only import guard
from fleet.gear.overlaps import no_overlap


class Migration(migrations.Migration):
    dependencies = [("fleet", "0001_initial")]

    operations = [guard("fleet_audit_entry"), no_overlap("strut"), no_overlap("tyre")]
