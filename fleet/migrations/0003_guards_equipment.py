"""What a cylinder's gauge showed is append-only."""

from django.db import migrations

from fleet.append_only import guard


class Migration(migrations.Migration):
    dependencies = [("fleet", "0002_guards")]

    operations = [guard("fleet_cylinder_pressure")]
