"""How usage looks in requests and answers."""

import uuid
from collections.abc import Sequence
from typing import Any

from rest_framework import serializers

from fleet.web.shapes import InputSerializer, MomentField
from servicing.usage.models import Usage
from servicing.usage.queries import aircraft_named
from servicing.usage.rows import UsageRow


class UsageInput(InputSerializer):
    """What one aircraft did up to a moment: a flight, or a day's flying."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the client; sent again, nothing counts twice.")
    aircraft = serializers.CharField(max_length=40, help_text="Registration or id.")
    ended_at = MomentField()
    flights = serializers.IntegerField(default=1, min_value=0, max_value=10_000)
    landings = serializers.IntegerField(default=1, min_value=0, max_value=1_000_000)
    hours = serializers.FloatField(default=0.0, min_value=0, max_value=1_000_000)
    hard_landing = serializers.BooleanField(default=False)
    brought_forward = serializers.BooleanField(
        default=False, help_text="The total that the aircraft came with, not a flight of its own."
    )
    note = serializers.CharField(required=False, max_length=500)


class UsagesInput(InputSerializer):
    """Several uses: logged all or none."""

    usage = serializers.ListField(child=UsageInput(), allow_empty=False, max_length=1000)


class UsageCorrectionInput(InputSerializer):
    """A mistake put right by the whole row as it should have been; zeros take it back."""

    reason = serializers.CharField(max_length=200)
    usage = UsageInput()


class UsageFilters(serializers.Serializer[Any]):
    """Which usage to list."""

    aircraft = serializers.UUIDField(required=False)
    since = serializers.DateTimeField(required=False)
    until = serializers.DateTimeField(required=False)
    hard_landing = serializers.BooleanField(required=False, allow_null=True, default=None)
    corrected = serializers.BooleanField(
        required=False, default=False, help_text="Show also rows that were corrected."
    )


class UsageAnswer(serializers.Serializer[Any]):
    """One use of one aircraft."""

    id = serializers.UUIDField()
    aircraft = serializers.UUIDField()
    ended_at = serializers.DateTimeField()
    received_at = serializers.DateTimeField()
    flights = serializers.IntegerField()
    landings = serializers.IntegerField()
    hours = serializers.FloatField()
    hard_landing = serializers.BooleanField()
    brought_forward = serializers.BooleanField()
    note = serializers.CharField()
    corrects = serializers.UUIDField(allow_null=True)
    correction_reason = serializers.CharField()
    superseded = serializers.BooleanField()


class LoggedUsageAnswer(serializers.Serializer[Any]):
    """What became of a batch."""

    usage = UsageAnswer(many=True)
    saved = serializers.IntegerField()
    known = serializers.IntegerField(help_text="Rows that were logged before and left as they are.")


class TotalsAnswer(serializers.Serializer[Any]):
    """Use of one aircraft in all."""

    aircraft = serializers.UUIDField()
    flights = serializers.IntegerField()
    landings = serializers.IntegerField()
    hours = serializers.FloatField()


def usage_rows(operator_id: uuid.UUID, bodies: Sequence[dict[str, Any]]) -> list[UsageRow]:
    """Return the rows that checked bodies describe; an aircraft that is not there becomes a fault later."""
    aircraft = aircraft_named(operator_id, {values["aircraft"] for values in bodies})
    return [
        UsageRow(
            aircraft_id=aircraft[values["aircraft"]],
            ended_at=values["ended_at"],
            flights=values["flights"],
            landings=values["landings"],
            hours=values["hours"],
            hard_landing=values["hard_landing"],
            brought_forward=values["brought_forward"],
            note=values.get("note", ""),
            id=values.get("id"),
        )
        for values in bodies
    ]


def usage_answer(usage: Usage) -> dict[str, Any]:
    """Return a row of use."""
    return {
        "id": str(usage.id),
        "aircraft": str(usage.aircraft_id),
        "ended_at": usage.ended_at.isoformat(),
        "received_at": usage.received_at.isoformat(),
        "flights": usage.flights,
        "landings": usage.landings,
        "hours": usage.hours,
        "hard_landing": usage.hard_landing,
        "brought_forward": usage.brought_forward,
        "note": usage.note,
        "corrects": str(usage.corrects_id) if usage.corrects_id else None,
        "correction_reason": usage.correction_reason,
        "superseded": usage.superseded,
    }
