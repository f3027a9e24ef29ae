"""How readings look in requests, and how a checked request becomes an entry."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from typing import Any

from rest_framework import serializers

from fleet.aircraft.models import Position
from fleet.web.quantities import Measured, QuantityField
from fleet.web.shapes import InputSerializer, MomentField
from servicing.readings.entries import StrutEntry, TyreEntry
from servicing.readings.models import FluidLevel, FluidSeen, Observation
from servicing.readings.naming import as_id, gauges_named, legs_named

# JSON name -> column
STRUT_QUANTITIES = {
    "extension": "extension_in",
    "temperature": "temperature_f",
    "fuel": "fuel_lb",
    "occupants": "occupants_lb",
    "leg_load": "leg_load_lbf",
    "pressure": "pressure_psig",
}
TYRE_QUANTITIES = {"pressure": "pressure_psig", "tread": "tread_in", "temperature": "temperature_f"}
_POSITIONS = ", ".join(f"`{position}`" for position in Position.values)


class LegNameField(serializers.CharField):
    """A position or a leg's id; a misspelled one is named together with the other faults of the request."""

    default_error_messages = {"unknown_position": "Give one of {positions}, or a leg's id; not {given!r}."}

    def to_internal_value(self, data: Any) -> str:
        """Return the name as it was given."""
        name = super().to_internal_value(data)
        if name.strip().lower() not in Position.values and as_id(name) is None:
            self.fail("unknown_position", positions=", ".join(Position.values), given=name)
        return name


class ReadingInput(InputSerializer):
    """What readings of struts and tyres share."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the client; sent again, nothing is stored twice.")
    aircraft = serializers.CharField(required=False, max_length=40, help_text="Registration or id.")
    leg = LegNameField(
        max_length=40, help_text=f"Position ({_POSITIONS}) together with `aircraft`, or the leg's id alone."
    )
    taken_at = MomentField(help_text="With time zone. The part is the one on the leg at that time.")
    temperature = QuantityField("temperature", required=False, help_text="Of the air at the aircraft, in the shade.")
    gauge = serializers.CharField(required=False, max_length=80, help_text="Name or id of the gauge used.")
    taken_by = serializers.CharField(required=False, max_length=120)
    note = serializers.CharField(required=False, max_length=500)


class StrutReadingInput(ReadingInput):
    """One measurement of a strut. What is left out is estimated, said so, and makes the result less sure."""

    extension = QuantityField("length", help_text="Tube exposed, at rest on level ground.")
    fuel = QuantityField("mass", required=False, help_text="Fuel on board.")
    occupants = QuantityField("mass", required=False, help_text="People and baggage on board; nobody unless said.")
    leg_load = QuantityField("force", required=False, help_text="Weighed; goes before fuel and occupants.")
    exercised = serializers.BooleanField(
        required=False, default=False, help_text="Rocked, taxied or flown just before."
    )
    pressure = QuantityField("gauge_pressure", required=False)
    fluid_seen = serializers.ChoiceField(FluidSeen.choices, required=False)
    fluid_level = serializers.ChoiceField(FluidLevel.choices, required=False)
    observations = serializers.ListField(
        child=serializers.ChoiceField(Observation.choices), required=False, max_length=3
    )


class TyreReadingInput(ReadingInput):
    """One measurement of a tyre: pressure, tread or both."""

    pressure = QuantityField("gauge_pressure", required=False)
    tread = QuantityField("length", required=False, help_text="Depth of the shallowest groove.")
    hot = serializers.BooleanField(required=False, default=False, help_text="Rolled within the last two hours.")
    loaded = serializers.BooleanField(required=False, default=True, help_text="The wheel carries the aircraft.")


class StrutReadingsInput(InputSerializer):
    """Several readings of struts: taken all or none."""

    readings = serializers.ListField(child=StrutReadingInput(), allow_empty=False, max_length=1000)


class TyreReadingsInput(InputSerializer):
    """Several readings of tyres: taken all or none."""

    readings = serializers.ListField(child=TyreReadingInput(), allow_empty=False, max_length=1000)


class StrutCorrectionInput(InputSerializer):
    """A mistake put right by the whole reading as it should have been."""

    reason = serializers.CharField(max_length=200)
    reading = StrutReadingInput()


class TyreCorrectionInput(InputSerializer):
    """A mistake put right by the whole reading as it should have been."""

    reason = serializers.CharField(max_length=200)
    reading = TyreReadingInput()


class WithdrawalInput(InputSerializer):
    """Why a reading is taken back."""

    id = serializers.UUIDField(required=False, help_text="Of the row that takes the reading back.")
    reason = serializers.CharField(max_length=200)


class ReadingFilters(serializers.Serializer[Any]):
    """Which readings to list."""

    aircraft = serializers.CharField(required=False, help_text="Registration or id.")
    leg = serializers.UUIDField(required=False)
    since = serializers.DateTimeField(required=False)
    until = serializers.DateTimeField(required=False)
    corrected = serializers.BooleanField(
        required=False, default=False, help_text="Show also readings that were corrected or taken back."
    )


class StrutReadingFilters(ReadingFilters):
    """Which readings of struts to list."""

    strut = serializers.UUIDField(required=False)


class TyreReadingFilters(ReadingFilters):
    """Which readings of tyres to list."""

    tyre = serializers.UUIDField(required=False)


def strut_entries_from(operator_id: uuid.UUID, bodies: Sequence[Mapping[str, Any]]) -> list[StrutEntry]:
    """Return the entries that checked bodies describe."""
    return [
        StrutEntry(
            **shared,
            **_internal(values, STRUT_QUANTITIES),
            exercised=values["exercised"],
            fluid_seen=values.get("fluid_seen", ""),
            fluid_level=values.get("fluid_level", ""),
            observations=tuple(sorted(set(values.get("observations", ())))),
        )
        for values, shared in zip(bodies, _shared(operator_id, bodies, STRUT_QUANTITIES), strict=True)
    ]


def tyre_entries_from(operator_id: uuid.UUID, bodies: Sequence[Mapping[str, Any]]) -> list[TyreEntry]:
    """Return the entries that checked bodies describe."""
    return [
        TyreEntry(**shared, **_internal(values, TYRE_QUANTITIES), hot=values["hot"], loaded=values["loaded"])
        for values, shared in zip(bodies, _shared(operator_id, bodies, TYRE_QUANTITIES), strict=True)
    ]


def _internal(values: Mapping[str, Any], quantities: Mapping[str, str]) -> dict[str, Any]:
    return {column: values[name].internal for name, column in quantities.items() if name in values}


def _shared(
    operator_id: uuid.UUID, bodies: Sequence[Mapping[str, Any]], quantities: Mapping[str, str]
) -> list[dict[str, Any]]:
    legs = legs_named(operator_id, {(values.get("aircraft", ""), values["leg"]) for values in bodies})
    gauges = gauges_named(operator_id, {values["gauge"] for values in bodies if "gauge" in values})
    read: list[dict[str, Measured]] = [
        {name: values[name] for name in quantities if name in values} for values in bodies
    ]
    return [
        {
            "id": values.get("id") or uuid.uuid4(),
            "leg_id": legs[values.get("aircraft", ""), values["leg"]],
            "taken_at": values["taken_at"],
            "as_read": {name: measured.as_read for name, measured in quantities_read.items()},
            "gauge_id": gauges.get(values.get("gauge", "")),
            "taken_by": values.get("taken_by", ""),
            "note": values.get("note", ""),
        }
        for values, quantities_read in zip(bodies, read, strict=True)
    ]
