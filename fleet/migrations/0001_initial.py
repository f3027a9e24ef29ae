import django.core.validators
import django.db.models.deletion
import django.db.models.functions.text
import uuid
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='Operator',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=120, unique=True)),
                ('unit_system', models.CharField(choices=[('us', 'US customary'), ('metric', 'metric')], default='us', max_length=8)),
                ('time_zone', models.CharField(default='UTC', max_length=64)),
                ('jurisdiction', models.CharField(choices=[('us', 'United States, 14 CFR part 43'), ('other', 'another authority: check local rules')], default='other', max_length=8)),
                ('false_alarms_per_strut_year', models.FloatField(default=0.1, validators=[django.core.validators.MinValueValidator(0.005), django.core.validators.MaxValueValidator(1.0)])),
                ('notice_days', models.PositiveSmallIntegerField(default=30)),
                ('created_at', models.DateTimeField()),
                ('version', models.PositiveIntegerField(default=1)),
            ],
            options={
                'db_table': 'fleet_operator',
                'constraints': [models.CheckConstraint(condition=models.Q(('false_alarms_per_strut_year__gte', 0.005), ('false_alarms_per_strut_year__lte', 1.0)), name='fleet_operator_false_alarms_range')],
            },
        ),
        migrations.CreateModel(
            name='Aircraft',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('registration', models.CharField(max_length=16)),
                ('type_name', models.CharField(max_length=80)),
                ('home_elevation_ft', models.FloatField(blank=True, null=True)),
                ('wheelbase_in', models.FloatField(blank=True, null=True)),
                ('track_in', models.FloatField(blank=True, null=True)),
                ('propeller_ahead_in', models.FloatField(blank=True, null=True)),
                ('propeller_clearance_in', models.FloatField(blank=True, null=True)),
                ('created_at', models.DateTimeField()),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('version', models.PositiveIntegerField(default=1)),
                ('operator', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.operator')),
            ],
            options={
                'db_table': 'fleet_aircraft',
                'constraints': [models.UniqueConstraint(fields=('operator', 'registration'), name='fleet_aircraft_registration')],
            },
        ),
        migrations.CreateModel(
            name='TypeSheet',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=80)),
                ('position', models.CharField(choices=[('nose', 'nose'), ('main', 'main'), ('tail wheel', 'tail wheel')], max_length=10)),
                ('manual_reference', models.CharField(blank=True, max_length=120)),
                ('manual_revision', models.CharField(blank=True, max_length=40)),
                ('target_extension_in', models.FloatField()),
                ('low_limit_in', models.FloatField()),
                ('high_limit_in', models.FloatField()),
                ('full_extension_in', models.FloatField(blank=True, null=True)),
                ('reference_temperature_f', models.FloatField(blank=True, null=True)),
                ('reference_load_lbf', models.FloatField(blank=True, null=True)),
                ('reference_fuel_lb', models.FloatField(blank=True, null=True)),
                ('reference_occupants_lb', models.FloatField(blank=True, null=True)),
                ('load_per_fuel', models.FloatField(blank=True, null=True)),
                ('load_per_occupant', models.FloatField(blank=True, null=True)),
                ('tube_diameter_in', models.FloatField(blank=True, null=True)),
                ('gas_column_in', models.FloatField(blank=True, null=True)),
                ('fluid_volume_in3', models.FloatField(blank=True, null=True)),
                ('fluid_expansion_per_k', models.FloatField(blank=True, null=True)),
                ('fluid', models.CharField(blank=True, max_length=40)),
                ('gas', models.CharField(choices=[('nitrogen', 'nitrogen'), ('dry air', 'dry air')], default='nitrogen', max_length=12)),
                ('maximum_pressure_psig', models.FloatField(blank=True, null=True)),
                ('tyre_size', models.CharField(blank=True, max_length=24)),
                ('tyre_ply_rating', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('tyre_service_pressure_psig', models.FloatField(blank=True, null=True)),
                ('tyre_wear_limit_in', models.FloatField(blank=True, null=True)),
                ('wheels_per_axle', models.PositiveSmallIntegerField(default=1)),
                ('version', models.PositiveIntegerField(default=1)),
                ('operator', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.operator')),
            ],
            options={
                'db_table': 'fleet_type_sheet',
                'constraints': [models.UniqueConstraint(fields=('operator', 'name', 'position'), name='fleet_type_sheet_once'), models.CheckConstraint(condition=models.Q(('low_limit_in__gt', 0), ('low_limit_in__lt', models.F('target_extension_in')), ('target_extension_in__lt', models.F('high_limit_in'))), name='fleet_type_sheet_limits_in_order'), models.CheckConstraint(condition=models.Q(('full_extension_in__isnull', True), ('high_limit_in__lte', models.F('full_extension_in')), _connector='OR'), name='fleet_type_sheet_high_limit_within_tube'), models.CheckConstraint(condition=models.Q(models.Q(('tube_diameter_in__isnull', True), ('tube_diameter_in__gt', 0), _connector='OR'), models.Q(('gas_column_in__isnull', True), ('gas_column_in__gt', 0), _connector='OR'), models.Q(('fluid_volume_in3__isnull', True), ('fluid_volume_in3__gte', 0), _connector='OR'), models.Q(('reference_load_lbf__isnull', True), ('reference_load_lbf__gt', 0), _connector='OR')), name='fleet_type_sheet_positive_figures')],
            },
        ),
        migrations.CreateModel(
            name='Leg',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('position', models.CharField(choices=[('nose', 'nose'), ('left main', 'left main'), ('right main', 'right main'), ('tail wheel', 'tail wheel')], max_length=10)),
                ('readings_outdated_at', models.DateTimeField(blank=True, null=True)),
                ('aircraft', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='legs', to='fleet.aircraft')),
                ('operator', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.operator')),
                ('sheet', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='legs', to='fleet.typesheet')),
            ],
            options={
                'db_table': 'fleet_leg',
                'indexes': [models.Index(condition=models.Q(('readings_outdated_at__isnull', False)), fields=['readings_outdated_at'], name='fleet_leg_outdated')],
                'constraints': [models.UniqueConstraint(fields=('aircraft', 'position'), name='fleet_leg_once')],
            },
        ),
        migrations.CreateModel(
            name='Equipment',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=80)),
                ('kind', models.CharField(choices=[('hand pump', 'hand pump'), ('multiplier pump', 'multiplier pump'), ('nitrogen cylinder', 'nitrogen cylinder'), ('shop compressor', 'shop compressor'), ('gauge', 'gauge')], max_length=20)),
                ('stroke_volume_in3', models.FloatField(blank=True, null=True)),
                ('clearance_fraction', models.FloatField(blank=True, null=True)),
                ('stages', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('area_ratio', models.FloatField(blank=True, null=True)),
                ('drive_pressure_psig', models.FloatField(blank=True, null=True)),
                ('water_volume_in3', models.FloatField(blank=True, null=True)),
                ('hose_volume_in3', models.FloatField(blank=True, null=True)),
                ('calibration_due', models.DateField(blank=True, null=True)),
                ('gauge_error_psi', models.FloatField(blank=True, null=True)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('version', models.PositiveIntegerField(default=1)),
                ('operator', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.operator')),
            ],
            options={
                'db_table': 'fleet_equipment',
                'constraints': [models.UniqueConstraint(condition=models.Q(('retired_at__isnull', True)), fields=('operator', 'name'), name='fleet_equipment_name')],
            },
        ),
        migrations.CreateModel(
            name='Person',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=120)),
                ('email', models.EmailField(blank=True, max_length=254)),
                ('role', models.CharField(choices=[('reader', 'reads'), ('member', 'takes readings and logs usage'), ('mechanic', 'does and records work'), ('coordinator', 'keeps the fleet, people and settings')], max_length=12)),
                ('certificate_kind', models.CharField(blank=True, max_length=40)),
                ('certificate_number', models.CharField(blank=True, max_length=40)),
                ('wants_mail', models.BooleanField(default=True)),
                ('active', models.BooleanField(default=True)),
                ('version', models.PositiveIntegerField(default=1)),
                ('operator', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.operator')),
            ],
            options={
                'db_table': 'fleet_person',
                'constraints': [models.UniqueConstraint(django.db.models.functions.text.Lower('email'), models.F('operator'), condition=models.Q(('email', ''), _negated=True), name='fleet_person_email')],
            },
        ),
        migrations.CreateModel(
            name='CylinderPressure',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('taken_at', models.DateTimeField()),
                ('received_at', models.DateTimeField()),
                ('as_read', models.JSONField(default=dict)),
                ('pressure_psig', models.FloatField()),
                ('temperature_f', models.FloatField(blank=True, null=True)),
                ('equipment', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='pressures', to='fleet.equipment')),
                ('operator', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.operator')),
                ('person', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.person')),
            ],
            options={
                'db_table': 'fleet_cylinder_pressure',
                'indexes': [models.Index(fields=['equipment', '-taken_at'], name='cylinder_pressure_history')],
                'constraints': [models.CheckConstraint(condition=models.Q(('pressure_psig__gte', 0)), name='fleet_cylinder_pressure_positive')],
            },
        ),
        migrations.CreateModel(
            name='Strut',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('serial_number', models.CharField(blank=True, max_length=40)),
                ('part_number', models.CharField(blank=True, max_length=40)),
                ('version', models.PositiveIntegerField(default=1)),
                ('operator', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.operator')),
            ],
            options={
                'db_table': 'fleet_strut',
                'constraints': [models.UniqueConstraint(condition=models.Q(('serial_number', ''), _negated=True), fields=('operator', 'serial_number'), name='fleet_strut_serial')],
            },
        ),
        migrations.CreateModel(
            name='StrutInstallation',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('installed_at', models.DateTimeField()),
                ('removed_at', models.DateTimeField(blank=True, null=True)),
                ('removal_reason', models.CharField(blank=True, max_length=200)),
                ('version', models.PositiveIntegerField(default=1)),
                ('leg', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.leg')),
                ('operator', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.operator')),
                ('strut', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='installations', to='fleet.strut')),
            ],
            options={
                'db_table': 'fleet_strut_installation',
                'constraints': [models.UniqueConstraint(condition=models.Q(('removed_at__isnull', True)), fields=('leg',), name='fleet_strut_installation_leg'), models.UniqueConstraint(condition=models.Q(('removed_at__isnull', True)), fields=('strut',), name='fleet_strut_installation_strut'), models.CheckConstraint(condition=models.Q(('removed_at__isnull', True), ('removed_at__gt', models.F('installed_at')), _connector='OR'), name='fleet_strut_installation_order')],
            },
        ),
        migrations.CreateModel(
            name='Token',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('label', models.CharField(max_length=80)),
                ('digest', models.CharField(max_length=64, unique=True)),
                ('hint', models.CharField(max_length=8)),
                ('scopes', models.JSONField(default=list)),
                ('created_at', models.DateTimeField()),
                ('expires_at', models.DateTimeField()),
                ('revoked_at', models.DateTimeField(blank=True, null=True)),
                ('last_used_at', models.DateTimeField(blank=True, null=True)),
                ('operator', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.operator')),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='tokens', to='fleet.person')),
            ],
            options={
                'db_table': 'fleet_token',
            },
        ),
        migrations.CreateModel(
            name='KeptAnswer',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('key', models.CharField(max_length=255)),
                ('method', models.CharField(max_length=8)),
                ('path', models.CharField(max_length=500)),
                ('body_digest', models.CharField(max_length=64)),
                ('claimed_until', models.DateTimeField()),
                ('expires_at', models.DateTimeField(db_index=True)),
                ('status', models.PositiveSmallIntegerField(null=True)),
                ('headers', models.JSONField(default=dict)),
                ('body', models.BinaryField(null=True)),
                ('operator', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.operator')),
                ('token', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='fleet.token')),
            ],
            options={
                'db_table': 'fleet_kept_answer',
                'constraints': [models.UniqueConstraint(fields=('token', 'key'), name='fleet_kept_answer_once')],
            },
        ),
        migrations.CreateModel(
            name='AuditEntry',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('at', models.DateTimeField()),
                ('action', models.CharField(max_length=60)),
                ('subject_kind', models.CharField(max_length=40)),
                ('subject_id', models.UUIDField()),
                ('before', models.JSONField(null=True)),
                ('after', models.JSONField(null=True)),
                ('operator', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.operator')),
                ('person', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.person')),
                ('token', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.token')),
            ],
            options={
                'db_table': 'fleet_audit_entry',
                'indexes': [models.Index(fields=['operator', '-at', '-id'], name='fleet_audit_recent'), models.Index(fields=['subject_id'], name='fleet_audit_subject')],
            },
        ),
        migrations.CreateModel(
            name='Tyre',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('serial_number', models.CharField(blank=True, max_length=40)),
                ('size', models.CharField(blank=True, max_length=24)),
                ('new_tread_in', models.FloatField(blank=True, null=True)),
                ('version', models.PositiveIntegerField(default=1)),
                ('operator', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.operator')),
            ],
            options={
                'db_table': 'fleet_tyre',
                'constraints': [models.UniqueConstraint(condition=models.Q(('serial_number', ''), _negated=True), fields=('operator', 'serial_number'), name='fleet_tyre_serial')],
            },
        ),
        migrations.CreateModel(
            name='TyreInstallation',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('installed_at', models.DateTimeField()),
                ('removed_at', models.DateTimeField(blank=True, null=True)),
                ('removal_reason', models.CharField(blank=True, max_length=200)),
                ('version', models.PositiveIntegerField(default=1)),
                ('leg', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.leg')),
                ('operator', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='fleet.operator')),
                ('tyre', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='installations', to='fleet.tyre')),
            ],
            options={
                'db_table': 'fleet_tyre_installation',
                'constraints': [models.UniqueConstraint(condition=models.Q(('removed_at__isnull', True)), fields=('leg',), name='fleet_tyre_installation_leg'), models.UniqueConstraint(condition=models.Q(('removed_at__isnull', True)), fields=('tyre',), name='fleet_tyre_installation_tyre'), models.CheckConstraint(condition=models.Q(('removed_at__isnull', True), ('removed_at__gt', models.F('installed_at')), _connector='OR'), name='fleet_tyre_installation_order')],
            },
        ),
    ]
