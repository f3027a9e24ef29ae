"""The audit trail is append-only."""

from django.db import migrations

from fleet.append_only import guard


class Migration(migrations.Migration):
    dependencies = [("fleet", "0001_initial")]

    operations = [guard("fleet_audit_entry")]
