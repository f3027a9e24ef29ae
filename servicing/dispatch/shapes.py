"""How dispatch answers."""

from typing import Any

from rest_framework import serializers

from fleet.web.quantities import QuantityField, quantity
from servicing.alerts.shapes import FINDINGS
from servicing.dispatch.judging import ADVICE, ORDER, LastStrutReading
from servicing.dispatch.queries import AircraftState, LegState
from servicing.drift.models import Level

READINESS = [word.value for word in ORDER]


class AgainstAnswer(serializers.Serializer[Any]):
    """One thing that is known against an aircraft."""

    asks = serializers.ChoiceField(READINESS)
    code = serializers.ChoiceField(
        ["alert", "reinspection", "outside_limits", "stale_reading", "never_read", "nothing_installed"]
    )
    position = serializers.CharField()
    part = serializers.ChoiceField(["strut", "tyre"])
    words = serializers.CharField()
    since = serializers.CharField(allow_null=True, help_text="Date or time from which it holds.")


class DispatchStrutAnswer(serializers.Serializer[Any]):
    """A strut as dispatch sees it."""

    id = serializers.UUIDField()
    finding = serializers.ChoiceField(FINDINGS, allow_null=True)
    level = serializers.ChoiceField(Level.choices, allow_null=True)
    extension = QuantityField("length", allow_null=True, help_text="Last reading, at the sheet's conditions.")
    low_limit = QuantityField("length")
    high_limit = QuantityField("length")
    read_at = serializers.DateTimeField(allow_null=True)


class DispatchTyreAnswer(serializers.Serializer[Any]):
    """A tyre as dispatch sees it."""

    id = serializers.UUIDField()
    finding = serializers.ChoiceField(FINDINGS, allow_null=True)
    level = serializers.ChoiceField(Level.choices, allow_null=True)
    read_at = serializers.DateTimeField(allow_null=True)


class DispatchLegAnswer(serializers.Serializer[Any]):
    """A leg as dispatch sees it."""

    leg = serializers.UUIDField()
    position = serializers.CharField()
    strut = DispatchStrutAnswer(allow_null=True)
    tyre = DispatchTyreAnswer(allow_null=True)


class AircraftDispatchAnswer(serializers.Serializer[Any]):
    """One aircraft: what to do next, and why."""

    aircraft = serializers.UUIDField()
    registration = serializers.CharField()
    type_name = serializers.CharField()
    readiness = serializers.ChoiceField(READINESS)
    reasons = AgainstAnswer(many=True)
    legs = DispatchLegAnswer(many=True)
    advice = serializers.CharField()


class DispatchAnswer(serializers.Serializer[Any]):
    """Every aircraft in service."""

    aircraft = AircraftDispatchAnswer(many=True)
    advice = serializers.CharField()


def aircraft_answer(state: AircraftState, unit_system: str) -> dict[str, Any]:
    """Return one aircraft as dispatch answers it."""
    reasons = sorted(state.reasons, key=lambda reason: (-ORDER.index(reason.asks), reason.position, reason.words))
    return {
        "aircraft": state.aircraft.id,
        "registration": state.aircraft.registration,
        "type_name": state.aircraft.type_name,
        "readiness": state.readiness,
        "reasons": [
            {
                "asks": reason.asks,
                "code": reason.code,
                "position": reason.position,
                "part": reason.part,
                "words": reason.words,
                "since": reason.since,
            }
            for reason in reasons
        ],
        "legs": [_leg(leg, unit_system) for leg in state.legs],
        "advice": ADVICE,
    }


def _leg(state: LegState, unit_system: str) -> dict[str, Any]:
    strut, tyre = state.strut, state.tyre
    return {
        "leg": state.leg.id,
        "position": state.leg.position,
        "strut": strut and {**_part(strut.strut), **_strut(state, state.last_strut_reading, unit_system)},
        "tyre": tyre and {**_part(tyre.tyre), "read_at": state.last_tyre_reading_at},
    }


def _part(part: Any) -> dict[str, Any]:
    standing = getattr(part, "standing", None)
    return {
        "id": part.id,
        "finding": standing and standing.finding,
        "level": standing and standing.level,
    }


def _strut(state: LegState, last: LastStrutReading | None, unit_system: str) -> dict[str, Any]:
    sheet = state.leg.sheet
    return {
        "extension": quantity(last.corrected_in if last else None, "length", unit_system),
        "low_limit": quantity(sheet.low_limit_in, "length", unit_system),
        "high_limit": quantity(sheet.high_limit_in, "length", unit_system),
        "read_at": last.taken_at if last else None,
    }
