"""How servicings look in requests and answers."""

import uuid
from collections.abc import Sequence
from typing import Any

from rest_framework import serializers

from fleet.web.quantities import Measured, QuantityField, quantity
from fleet.web.shapes import InputSerializer, MomentField
from servicing.readings.naming import LegName, gauges_named, legs_named
from servicing.work.effects import effect_of
from servicing.work.models import Servicing, Work
from servicing.work.rows import ServicingRow

# JSON name -> (column, kind of quantity)
QUANTITIES = {
    "extension_before": ("extension_before_in", "length"),
    "extension_after": ("extension_after_in", "length"),
    "pressure_before": ("pressure_before_psig", "gauge_pressure"),
    "pressure_after": ("pressure_after_psig", "gauge_pressure"),
    "temperature": ("temperature_f", "temperature"),
    "fluid_added": ("fluid_added_in3", "volume"),
}


class ServicingInput(InputSerializer):
    """Work of one kind, done at one time on one leg."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the client; sent again, nothing happens twice.")
    aircraft = serializers.CharField(required=False, max_length=40, help_text="Registration or id.")
    leg = serializers.CharField(max_length=40, help_text="Position together with `aircraft`, or the leg's id alone.")
    done_at = MomentField(help_text="With time zone. The part is the one on the leg at that time.")
    work = serializers.ChoiceField(Work.choices)
    extension_before = QuantityField("length", required=False, minimum=0, maximum=60)
    extension_after = QuantityField("length", required=False, minimum=0, maximum=60)
    pressure_before = QuantityField("gauge_pressure", required=False, minimum=0, maximum=5000)
    pressure_after = QuantityField("gauge_pressure", required=False, minimum=0, maximum=5000)
    temperature = QuantityField("temperature", required=False, minimum=-60, maximum=160)
    strokes = serializers.FloatField(required=False, min_value=0, max_value=10_000, help_text="Or cycles.")
    fluid_added = QuantityField("volume", required=False, minimum=0, maximum=2000)
    equipment = serializers.CharField(required=False, max_length=80, help_text="Name or id.")
    done_by = serializers.CharField(required=False, max_length=120)
    note = serializers.CharField(required=False, max_length=500)


class ServicingsInput(InputSerializer):
    """Several servicings: recorded all or none."""

    servicings = serializers.ListField(child=ServicingInput(), allow_empty=False, max_length=1000)


class ServicingCorrectionInput(InputSerializer):
    """A mistake put right: by the whole servicing as it should have been, or by taking it back."""

    id = serializers.UUIDField(required=False, help_text="Of the correcting row; chosen by the client.")
    reason = serializers.CharField(max_length=200)
    servicing = ServicingInput(required=False, help_text="Left out: the servicing is taken back, it never happened.")


class ServicingFilters(serializers.Serializer[Any]):
    """Which servicings to list."""

    aircraft = serializers.UUIDField(required=False)
    leg = serializers.UUIDField(required=False)
    strut = serializers.UUIDField(required=False, help_text="Wherever it was installed.")
    tyre = serializers.UUIDField(required=False, help_text="Wherever it was installed.")
    work = serializers.ChoiceField(Work.choices, required=False)
    since = serializers.DateTimeField(required=False)
    until = serializers.DateTimeField(required=False)
    corrected = serializers.BooleanField(
        required=False, default=False, help_text="Show also rows that were corrected or taken back."
    )


class EffectAnswer(serializers.Serializer[Any]):
    """What the work did to the history that is watched for drift."""

    level_moves = serializers.BooleanField()
    new_baseline = serializers.BooleanField()
    new_life = serializers.BooleanField()
    settling_days = serializers.FloatField()
    why = serializers.CharField()


class ServicingAnswer(serializers.Serializer[Any]):
    """A servicing."""

    id = serializers.UUIDField()
    leg = serializers.UUIDField()
    strut = serializers.UUIDField(allow_null=True)
    tyre = serializers.UUIDField(allow_null=True)
    done_at = serializers.DateTimeField()
    received_at = serializers.DateTimeField()
    work = serializers.ChoiceField(Work.choices)
    extension_before = QuantityField("length", allow_null=True)
    extension_after = QuantityField("length", allow_null=True)
    pressure_before = QuantityField("gauge_pressure", allow_null=True)
    pressure_after = QuantityField("gauge_pressure", allow_null=True)
    temperature = QuantityField("temperature", allow_null=True)
    strokes = serializers.FloatField(allow_null=True)
    fluid_added = QuantityField("volume", allow_null=True)
    as_read = serializers.JSONField(help_text="Each quantity with the unit in which it was read.")
    equipment = serializers.UUIDField(allow_null=True)
    top_up = serializers.UUIDField(allow_null=True)
    done_by = serializers.CharField()
    note = serializers.CharField()
    corrects = serializers.UUIDField(allow_null=True)
    correction_reason = serializers.CharField()
    withdrawn = serializers.BooleanField()
    superseded = serializers.BooleanField()
    effect = EffectAnswer()


class RecordedServicingAnswer(ServicingAnswer):
    """A servicing just recorded, with what to mind."""

    cautions = serializers.ListField(child=serializers.CharField())


class RecordedServicingsAnswer(serializers.Serializer[Any]):
    """What became of a batch."""

    servicings = ServicingAnswer(many=True)
    saved = serializers.IntegerField()
    known = serializers.IntegerField(help_text="Rows that were recorded before and left as they are.")


def rows_from(operator_id: uuid.UUID, bodies: Sequence[dict[str, Any]]) -> list[ServicingRow]:
    """Return the rows that checked bodies describe; a leg or equipment that is not there becomes a fault later."""
    legs = legs_named(operator_id, {(values.get("aircraft", ""), values["leg"]) for values in bodies})
    equipment = gauges_named(operator_id, {values["equipment"] for values in bodies if "equipment" in values})
    return [_row(values, legs, equipment) for values in bodies]


def _row(values: dict[str, Any], legs: dict[LegName, uuid.UUID], equipment: dict[str, uuid.UUID]) -> ServicingRow:
    read: dict[str, Measured] = {name: values[name] for name in QUANTITIES if name in values}
    figures: dict[str, Any] = {QUANTITIES[name][0]: measured.internal for name, measured in read.items()}
    return ServicingRow(
        leg_id=legs[values.get("aircraft", ""), values["leg"]],
        done_at=values["done_at"],
        work=values["work"],
        strokes=values.get("strokes"),
        equipment_id=equipment.get(values.get("equipment", "")),
        done_by=values.get("done_by", ""),
        note=values.get("note", ""),
        as_read={name: measured.as_read for name, measured in read.items()},
        id=values.get("id"),
        **figures,
    )


def servicing_answer(servicing: Servicing, unit_system: str) -> dict[str, Any]:
    """Return a servicing in the caller's units."""
    effect = effect_of(servicing.work)
    figures = {
        name: quantity(getattr(servicing, column), kind, unit_system) for name, (column, kind) in QUANTITIES.items()
    }
    return {
        "id": str(servicing.id),
        "leg": str(servicing.leg_id),
        "strut": str(servicing.strut_id) if servicing.strut_id else None,
        "tyre": str(servicing.tyre_id) if servicing.tyre_id else None,
        "done_at": servicing.done_at.isoformat(),
        "received_at": servicing.received_at.isoformat(),
        "work": str(servicing.work),
        **figures,
        "strokes": servicing.strokes,
        "as_read": servicing.as_read,
        "equipment": str(servicing.equipment_id) if servicing.equipment_id else None,
        "top_up": str(servicing.top_up_id) if servicing.top_up_id else None,
        "done_by": servicing.done_by,
        "note": servicing.note,
        "corrects": str(servicing.corrects_id) if servicing.corrects_id else None,
        "correction_reason": servicing.correction_reason,
        "withdrawn": servicing.withdrawn,
        "superseded": servicing.superseded,
        "effect": {
            "level_moves": effect.level_moves,
            "new_baseline": effect.new_baseline,
            "new_life": effect.new_life,
            "settling_days": effect.settling_days,
            "why": effect.why,
        },
    }
