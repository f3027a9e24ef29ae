"""How struts, tyres and installations look in requests and answers."""

from typing import Any

from rest_framework import serializers

from fleet.gear.kinds import TYRE, PartKind
from fleet.web.quantities import QuantityField, quantity
from fleet.web.shapes import InputSerializer, MomentField

REASON: dict[str, Any] = {"max_length": 200, "allow_blank": True, "default": ""}


class StrutChange(InputSerializer):
    """A strut's particulars."""

    serial_number = serializers.CharField(max_length=40, allow_blank=True, default="")
    part_number = serializers.CharField(max_length=40, allow_blank=True, default="")


class NewStrutInput(StrutChange):
    """A new strut."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the client, or left to the service.")


class TyreChange(InputSerializer):
    """A tyre's particulars."""

    serial_number = serializers.CharField(max_length=40, allow_blank=True, default="")
    size = serializers.CharField(max_length=24, allow_blank=True, default="")
    new_tread = QuantityField(
        "length",
        minimum=0.0,
        maximum=3.0,
        source="new_tread_in",
        required=False,
        allow_null=True,
        help_text="Tread depth when new.",
    )


class NewTyreInput(TyreChange):
    """A new tyre."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the client, or left to the service.")


class PlaceAnswer(serializers.Serializer[Any]):
    """Where a part is installed."""

    installation = serializers.UUIDField()
    leg = serializers.UUIDField()
    position = serializers.CharField()
    aircraft = serializers.UUIDField()
    registration = serializers.CharField()
    installed_at = serializers.DateTimeField()


class StrutAnswer(serializers.Serializer[Any]):
    """A strut, and where it is."""

    id = serializers.UUIDField()
    serial_number = serializers.CharField(allow_blank=True)
    part_number = serializers.CharField(allow_blank=True)
    version = serializers.IntegerField()
    place = PlaceAnswer(allow_null=True)


class TyreAnswer(serializers.Serializer[Any]):
    """A tyre, and where it is."""

    id = serializers.UUIDField()
    serial_number = serializers.CharField(allow_blank=True)
    size = serializers.CharField(allow_blank=True)
    new_tread = QuantityField("length", allow_null=True)
    version = serializers.IntegerField()
    place = PlaceAnswer(allow_null=True)


class PartFilters(serializers.Serializer[Any]):
    """Which parts a list keeps."""

    aircraft = serializers.UUIDField(required=False)
    leg = serializers.UUIDField(required=False)
    installed = serializers.BooleanField(required=False, allow_null=True, default=None)
    serial_number = serializers.CharField(required=False, max_length=40)


class InstallationInput(InputSerializer):
    """A part goes on a leg, or was on it for a time that is over."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the client, or left to the service.")
    leg = serializers.UUIDField()
    installed_at = MomentField()
    removed_at = MomentField(required=False, allow_null=True)
    removal_reason = serializers.CharField(**REASON)


class InstallationChange(InputSerializer):
    """What of an installation may be put right."""

    installed_at = MomentField()
    removed_at = MomentField(allow_null=True)
    removal_reason = serializers.CharField(max_length=200, allow_blank=True)


class RemovalInput(InputSerializer):
    """A part comes off its leg."""

    removed_at = MomentField()
    reason = serializers.CharField(**REASON)


class MoveInput(InputSerializer):
    """A part goes from its leg to another."""

    leg = serializers.UUIDField()
    moved_at = MomentField()
    reason = serializers.CharField(**REASON)


class SwapInput(InputSerializer):
    """Two installed parts change places."""

    other = serializers.UUIDField(help_text="The part to change places with.")
    swapped_at = MomentField()
    reason = serializers.CharField(**REASON)


class ReplacementInput(InputSerializer):
    """A part comes off and another goes on in its place."""

    by = serializers.UUIDField(help_text="The part that goes on; it must be on no leg.")
    replaced_at = MomentField()
    reason = serializers.CharField(**REASON)


class InstallationAnswer(serializers.Serializer[Any]):
    """When a part was on a leg."""

    id = serializers.UUIDField()
    part = serializers.UUIDField()
    leg = serializers.UUIDField()
    position = serializers.CharField()
    aircraft = serializers.UUIDField()
    registration = serializers.CharField()
    installed_at = serializers.DateTimeField()
    removed_at = serializers.DateTimeField(allow_null=True)
    removal_reason = serializers.CharField(allow_blank=True)
    version = serializers.IntegerField()


class SwapAnswer(serializers.Serializer[Any]):
    """Where two parts are after they changed places."""

    installations = InstallationAnswer(many=True)


def part_answer(kind: PartKind, part: Any, unit_system: str) -> dict[str, Any]:
    """Return a part whose ``present`` place was fetched with it."""
    own = (
        {"size": part.size, "new_tread": quantity(part.new_tread_in, "length", unit_system)}
        if kind is TYRE
        else {"part_number": part.part_number}
    )
    return {
        "id": str(part.pk),
        "serial_number": part.serial_number,
        **own,
        "version": part.version,
        "place": place_answer(part.present[0]) if part.present else None,
    }


def place_answer(row: Any) -> dict[str, Any]:
    """Return where a part is."""
    return {
        "installation": str(row.pk),
        "leg": str(row.leg_id),
        "position": row.leg.position,
        "aircraft": str(row.leg.aircraft_id),
        "registration": row.leg.aircraft.registration,
        "installed_at": row.installed_at,
    }


def installation_answer(kind: PartKind, row: Any) -> dict[str, Any]:
    """Return an installation fetched with its leg and aircraft."""
    return {
        "id": str(row.pk),
        "part": str(getattr(row, f"{kind.noun}_id")),
        "leg": str(row.leg_id),
        "position": row.leg.position,
        "aircraft": str(row.leg.aircraft_id),
        "registration": row.leg.aircraft.registration,
        "installed_at": row.installed_at,
        "removed_at": row.removed_at,
        "removal_reason": row.removal_reason,
        "version": row.version,
    }
