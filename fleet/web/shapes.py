"""What every request body has in common."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.utils.timezone import is_naive
from rest_framework import serializers


class MomentField(serializers.DateTimeField):
    """A time with its time zone; without one it is refused, for a guess may be hours wrong and meet another part."""

    default_error_messages = {"no_time_zone": "Say the time zone, such as 2026-03-02T09:30:00Z."}

    def enforce_timezone(self, value: datetime) -> datetime:
        """Return the time in the service's time zone."""
        if is_naive(value):
            self.fail("no_time_zone")
        return super().enforce_timezone(value)


class InputSerializer(serializers.Serializer[Any]):
    """Checks shape and range only; refuses fields that it does not know, so that no typing slip is dropped."""

    def to_internal_value(self, data: Any) -> Any:
        """Return the checked values; unknown fields are reported together with all other faults."""
        unknown = {}
        if isinstance(data, Mapping):
            known = {name for name, field in self.fields.items() if not field.read_only}
            unknown = {
                str(name)[:80]: [serializers.ErrorDetail("This field is not known here.", code="unknown_field")]
                for name in data
                if name not in known
            }
        try:
            values = super().to_internal_value(data)
        except serializers.ValidationError as error:
            if unknown and isinstance(error.detail, dict):
                raise serializers.ValidationError({**error.detail, **unknown}) from error
            raise
        if unknown:
            raise serializers.ValidationError(unknown)
        return values
