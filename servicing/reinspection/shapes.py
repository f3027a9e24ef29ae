"""How looks appear in requests and answers."""

from collections.abc import Sequence
from typing import Any, Final

from rest_framework import serializers

from fleet.web.shapes import InputSerializer
from servicing.reinspection.due import DUE_STATES
from servicing.reinspection.models import PutOff, Reason
from servicing.reinspection.queries import Judged

OWN_USE: Final = "What the part does on other aircraft counts as well."
MOVES_ALONG: Final = "Where the part moves to another aircraft, what was left is carried over to that one's total."


class ReinspectionFilters(serializers.Serializer[Any]):
    """Which looks to list."""

    open = serializers.BooleanField(required=False, allow_null=True, default=None, help_text="Only open, or ended.")
    due = serializers.ChoiceField(DUE_STATES, required=False, help_text="How far they are.")
    aircraft = serializers.UUIDField(required=False)
    leg = serializers.UUIDField(required=False)
    strut = serializers.UUIDField(required=False)
    tyre = serializers.UUIDField(required=False)
    reason = serializers.ChoiceField(Reason.values, required=False)
    due_before = serializers.DateField(required=False)


class ReinspectionInput(InputSerializer):
    """A look that a person asks for."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the client; sent again, nothing is asked twice.")
    leg = serializers.UUIDField()
    part = serializers.ChoiceField(["strut", "tyre"])
    look_for = serializers.CharField(max_length=300)
    due_on = serializers.DateField()
    due_landings = serializers.IntegerField(
        required=False, min_value=0, max_value=10_000_000, help_text=f"Of the aircraft, in all. {MOVES_ALONG}"
    )
    due_hours = serializers.FloatField(
        required=False, min_value=0, max_value=1_000_000, help_text=f"Of the aircraft, in all. {MOVES_ALONG}"
    )


class PutOffInput(InputSerializer):
    """A later day for a look."""

    due_on = serializers.DateField()
    reason = serializers.CharField(max_length=200)


class ClosingInput(InputSerializer):
    """Why a look is closed without a reading."""

    reason = serializers.CharField(max_length=200)


class PutOffAnswer(serializers.Serializer[Any]):
    """A look was put off."""

    at = serializers.DateTimeField()
    person = serializers.CharField(allow_null=True)
    due_before = serializers.DateField()
    due_on = serializers.DateField()
    reason = serializers.CharField()


class ReinspectionAnswer(serializers.Serializer[Any]):
    """One look and how far it is."""

    id = serializers.UUIDField()
    aircraft = serializers.UUIDField()
    registration = serializers.CharField()
    leg = serializers.UUIDField()
    position = serializers.CharField()
    strut = serializers.UUIDField(allow_null=True)
    tyre = serializers.UUIDField(allow_null=True)
    reason = serializers.ChoiceField(Reason.choices)
    look_for = serializers.CharField()
    opened_at = serializers.DateTimeField()
    counts_from = serializers.DateTimeField(help_text="A reading taken from then on does it.")
    due = serializers.ChoiceField(DUE_STATES)
    due_on = serializers.DateField()
    due_landings = serializers.IntegerField(
        allow_null=True, help_text=f"Of the aircraft that the part is on, in all. {OWN_USE}"
    )
    due_hours = serializers.FloatField(
        allow_null=True, help_text=f"Of the aircraft that the part is on, in all. {OWN_USE}"
    )
    days_left = serializers.IntegerField()
    landings_left = serializers.IntegerField(allow_null=True)
    hours_left = serializers.FloatField(allow_null=True)
    done_at = serializers.DateTimeField(allow_null=True)
    done_by_reading = serializers.UUIDField(allow_null=True)
    closed_reason = serializers.CharField(allow_blank=True)
    put_off = PutOffAnswer(many=True)
    version = serializers.IntegerField()


class CalendarAnswer(serializers.Serializer[Any]):
    """Where a calendar program subscribes."""

    address = serializers.URLField()


def look_answer(judged: Judged, put_offs: Sequence[PutOff]) -> dict[str, Any]:
    """Return a look as it is answered."""
    look, due = judged
    return {
        "id": look.id,
        "aircraft": look.leg.aircraft_id,
        "registration": look.leg.aircraft.registration,
        "leg": look.leg_id,
        "position": look.leg.position,
        "strut": look.strut_id,
        "tyre": look.tyre_id,
        "reason": look.reason,
        "look_for": look.look_for,
        "opened_at": look.opened_at,
        "counts_from": look.counts_from,
        "due": due.state,
        "due_on": look.due_on,
        "due_landings": look.due_landings,
        "due_hours": look.due_hours,
        "days_left": due.days_left,
        "landings_left": due.landings_left,
        "hours_left": due.hours_left,
        "done_at": look.done_at,
        "done_by_reading": look.done_by_reading,
        "closed_reason": look.closed_reason,
        "put_off": [
            {
                "at": row.at,
                "person": row.person.name if row.person else None,
                "due_before": row.due_before,
                "due_on": row.due_on,
                "reason": row.reason,
            }
            for row in put_offs
        ],
        "version": look.version,
    }
