"""How aircraft and legs look in requests and answers."""

from datetime import datetime
from typing import Any

from rest_framework import serializers

from fleet.aircraft.models import Aircraft, Leg, Position
from fleet.gear.fitting import FirstPart, NewLeg
from fleet.gear.shapes import NewStrutInput, NewTyreInput
from fleet.web.quantities import QuantityField, internal_values
from fleet.web.shapes import InputSerializer, MomentField

OPTIONAL: dict[str, Any] = {"required": False, "allow_null": True}


class AircraftFields(serializers.Serializer[Any]):
    """What is known of an aircraft, on the way in and on the way out."""

    registration = serializers.RegexField(
        r"^[A-Za-z0-9][A-Za-z0-9 -]*$", max_length=16, help_text="Kept in capitals."
    )
    type_name = serializers.CharField(max_length=80)
    home_elevation = QuantityField(
        "elevation", minimum=-1500.0, maximum=20000.0, source="home_elevation_ft", **OPTIONAL
    )
    wheelbase = QuantityField("length", minimum=1.0, maximum=2000.0, source="wheelbase_in", **OPTIONAL)
    track = QuantityField("length", minimum=1.0, maximum=2000.0, source="track_in", **OPTIONAL)
    propeller_ahead = QuantityField(
        "length",
        minimum=-1000.0,
        maximum=1000.0,
        source="propeller_ahead_in",
        help_text="How far the propeller's disc lies ahead of the nose wheel's axle.",
        **OPTIONAL,
    )
    propeller_clearance = QuantityField(
        "length",
        minimum=0.0,
        maximum=500.0,
        source="propeller_clearance_in",
        help_text="From the ground, with every strut at its target.",
        **OPTIONAL,
    )


class AircraftChange(AircraftFields, InputSerializer):
    """What of an aircraft may be changed."""

    retired = serializers.BooleanField(required=False)

    def validate_registration(self, registration: str) -> str:
        """Return it in capitals, so that no aircraft is in the fleet twice."""
        return registration.upper()


class LegInput(InputSerializer):
    """A leg, with what is on it."""

    id = serializers.UUIDField(required=False)
    position = serializers.ChoiceField(Position.choices)
    type_sheet = serializers.UUIDField()
    strut = NewStrutInput(**OPTIONAL)
    tyre = NewTyreInput(**OPTIONAL)
    installed_at = MomentField(
        required=False,
        help_text="Since when strut and tyre are on it; now, when left out. Readings from before are refused.",
    )


class AircraftInput(AircraftChange):
    """A new aircraft, with its legs when they are known."""

    retired = None  # type: ignore[assignment]  # this is how a shape drops an inherited field
    id = serializers.UUIDField(required=False, help_text="Chosen by the client, or left to the service.")
    legs = LegInput(many=True, required=False)

    def validate_legs(self, legs: list[dict[str, Any]]) -> list[dict[str, Any]]:
        """Refuse a position named twice."""
        positions = [leg["position"] for leg in legs]
        if len(set(positions)) < len(positions):
            raise serializers.ValidationError("each position at most once", code="position_twice")
        return legs


class LegChange(InputSerializer):
    """What of a leg may be changed."""

    type_sheet = serializers.UUIDField()


class LegStrutAnswer(serializers.Serializer[Any]):
    """The strut on a leg."""

    id = serializers.UUIDField()
    serial_number = serializers.CharField(allow_blank=True)
    installed_at = serializers.DateTimeField()


class LegAnswer(serializers.Serializer[Any]):
    """A leg, and what is on it."""

    id = serializers.UUIDField()
    position = serializers.ChoiceField(Position.choices)
    type_sheet = serializers.UUIDField()
    strut = LegStrutAnswer(allow_null=True)
    tyre = LegStrutAnswer(allow_null=True)


class AircraftAnswer(AircraftFields):
    """An aircraft with its legs."""

    id = serializers.UUIDField()
    created_at = serializers.DateTimeField()
    retired_at = serializers.DateTimeField(allow_null=True)
    version = serializers.IntegerField()
    legs = LegAnswer(many=True)


class AircraftFilters(serializers.Serializer[Any]):
    """Which aircraft a list keeps."""

    retired = serializers.BooleanField(required=False, allow_null=True, default=None)
    registration = serializers.CharField(required=False, max_length=16)


def new_leg(given: dict[str, Any], now: datetime) -> NewLeg:
    """Return a leg as the action takes it."""
    return NewLeg(
        position=given["position"],
        sheet_id=given["type_sheet"],
        installed_at=given.get("installed_at", now),
        leg_id=given.get("id"),
        strut=_first_part(given.get("strut")),
        tyre=_first_part(given.get("tyre")),
    )


def _first_part(given: dict[str, Any] | None) -> FirstPart | None:
    if given is None:
        return None
    values = internal_values(given)
    part_id = values.pop("id", None)
    return FirstPart(values, part_id)


def aircraft_answer(aircraft: Aircraft, struts: dict[Any, Any], tyres: dict[Any, Any], units: str) -> dict[str, Any]:
    """Return an aircraft whose legs were fetched with it; gear by leg as `present_gear` gives it."""
    legs = [_leg_answer(leg, struts.get(leg.pk), tyres.get(leg.pk)) for leg in aircraft.legs.all()]
    return {
        **AircraftFields(aircraft, context={"unit_system": units}).data,
        "id": str(aircraft.pk),
        "created_at": aircraft.created_at,
        "retired_at": aircraft.retired_at,
        "version": aircraft.version,
        "legs": legs,
    }


def _leg_answer(leg: Leg, strut: Any, tyre: Any) -> dict[str, Any]:
    return {
        "id": str(leg.pk),
        "position": leg.position,
        "type_sheet": str(leg.sheet_id),
        "strut": _part_on_leg(strut, "strut"),
        "tyre": _part_on_leg(tyre, "tyre"),
    }


def _part_on_leg(row: Any, noun: str) -> dict[str, Any] | None:
    if row is None:
        return None
    part = getattr(row, noun)
    return {"id": str(part.pk), "serial_number": part.serial_number, "installed_at": row.installed_at}
