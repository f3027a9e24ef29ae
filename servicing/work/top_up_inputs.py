"""How top-ups look in requests."""

import uuid
from typing import Any, Final

from rest_framework import serializers

from fleet.web.quantities import Measured, QuantityField
from fleet.web.shapes import InputSerializer, MomentField
from servicing.work.models import Counted, Exercise
from servicing.work.top_up_rows import CONDITIONS, StepRow

STEP_QUANTITIES: Final = {
    "extension": "extension_in",
    "extension_before": "extension_before_in",
    **CONDITIONS,
}


class LookInput(InputSerializer):
    """The length of a strut as it is now."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the client; sent again, nothing happens twice.")
    at = MomentField()
    extension = QuantityField("length", minimum=0, maximum=60)
    exercised = serializers.ChoiceField(Exercise.choices, default=Exercise.NOT)
    temperature = QuantityField("temperature", required=False, minimum=-60, maximum=160)
    fuel = QuantityField("mass", required=False, minimum=0, maximum=100_000)
    occupants = QuantityField("mass", required=False, minimum=0, maximum=20_000)


class DoseInput(LookInput):
    """Gas put in or let out, with the length that it led to."""

    amount = serializers.FloatField(min_value=0.01, max_value=1000, help_text="Strokes, cycles or seconds.")
    counted = serializers.ChoiceField(
        Counted.choices, required=False, help_text="By default as its equipment counts."
    )
    equipment = serializers.CharField(
        required=False,
        max_length=80,
        help_text="Name or id of what the gas came from; by default what the top-up has when the dose arrives. "
        "Say it with a dose that may arrive after a change of equipment.",
    )
    released = serializers.BooleanField(default=False, help_text="True where gas was let out.")
    extension_before = QuantityField("length", required=False, minimum=0, maximum=60)
    hose_connected = serializers.BooleanField(
        required=False, help_text="Whether the hose was connected anew; by default after each exercise."
    )


class StepInput(DoseInput):
    """A step as it should have been."""

    amount = serializers.FloatField(
        default=0, min_value=0, max_value=1000, help_text="Strokes, cycles or seconds; 0 where it was only a look."
    )


class StepCorrectionInput(InputSerializer):
    """A mistake put right: by the whole step as it should have been, or by taking it back."""

    id = serializers.UUIDField(required=False, help_text="Of the correcting row; chosen by the client.")
    reason = serializers.CharField(max_length=200)
    step = StepInput(required=False, help_text="Left out: the step is taken back, it never happened.")


class TopUpInput(InputSerializer):
    """What to begin with."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the client; sent again, nothing happens twice.")
    aircraft = serializers.CharField(required=False, max_length=40, help_text="Registration or id.")
    leg = serializers.CharField(max_length=40, help_text="Position together with `aircraft`, or the leg's id alone.")
    equipment = serializers.CharField(required=False, max_length=80, help_text="Name or id.")
    look = LookInput()
    target = QuantityField("length", required=False, help_text="At the sheet's conditions; by default the sheet's.")
    tolerance = QuantityField("length", required=False)
    overshoot_chance = serializers.FloatField(
        default=0.05, min_value=0.001, max_value=0.5, help_text="Greatest chance of overshoot accepted per dose."
    )
    hose_filled_first = serializers.BooleanField(
        default=False, help_text="True where the hose is pressed up before it is opened to the strut."
    )


class TopUpChange(InputSerializer):
    """What changes in a running top-up."""

    equipment = serializers.CharField(allow_null=True, max_length=80, help_text="Name or id.")


class FinishInput(InputSerializer):
    """How a top-up ends."""

    note = serializers.CharField(required=False, max_length=500, allow_blank=True)


class TopUpFilters(serializers.Serializer[Any]):
    """Which top-ups to list."""

    aircraft = serializers.UUIDField(required=False)
    leg = serializers.UUIDField(required=False)
    strut = serializers.UUIDField(required=False)
    finished = serializers.BooleanField(required=False, allow_null=True, default=None)


def step_row(values: dict[str, Any], equipment_id: uuid.UUID | None = None) -> StepRow:
    """Return the row that a checked look or dose describes, with the equipment that it names."""
    read: dict[str, Measured] = {name: values[name] for name in STEP_QUANTITIES if name in values}
    figures: dict[str, Any] = {STEP_QUANTITIES[name]: measured.internal for name, measured in read.items()}
    return StepRow(
        at=values["at"],
        exercised=values["exercised"],
        amount=values.get("amount", 0.0),
        counted=values.get("counted", ""),
        released=values.get("released", False),
        hose_connected=values.get("hose_connected"),
        equipment_id=equipment_id,
        as_read={name: measured.as_read for name, measured in read.items()},
        id=values.get("id"),
        **figures,
    )
