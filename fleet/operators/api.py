"""The operator's settings over HTTP."""

from typing import Any
from zoneinfo import ZoneInfo

from django.urls import path
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.operators.actions import change_operator
from fleet.operators.models import Jurisdiction, Operator, UnitSystem
from fleet.web.etags import require_match
from fleet.web.permissions import MANAGE, READ
from fleet.web.shapes import InputSerializer
from fleet.web.views import OperatorView


class OperatorInput(InputSerializer):
    """Settings that a coordinator may change."""

    name = serializers.CharField(max_length=120)
    unit_system = serializers.ChoiceField(UnitSystem.choices)
    time_zone = serializers.CharField(max_length=64, help_text="IANA name, such as `Europe/Lisbon`.")
    jurisdiction = serializers.ChoiceField(Jurisdiction.choices)
    false_alarms_per_strut_year = serializers.FloatField(
        min_value=0.005, max_value=0.5, help_text="How many needless alarms per strut and year are acceptable."
    )
    notice_days = serializers.IntegerField(
        min_value=1, max_value=365, help_text="How long before a limit is likely to be reached people are told."
    )

    def validate_time_zone(self, name: str) -> str:
        """Refuse what the time-zone database does not have."""
        try:
            ZoneInfo(name)
        except (ValueError, OSError, LookupError) as error:
            raise serializers.ValidationError("an IANA name such as Europe/Lisbon", code="unknown") from error
        return name


class OperatorAnswer(serializers.Serializer[Any]):
    """An operator's settings."""

    id = serializers.UUIDField()
    name = serializers.CharField()
    unit_system = serializers.ChoiceField(UnitSystem.choices)
    time_zone = serializers.CharField()
    jurisdiction = serializers.ChoiceField(Jurisdiction.choices)
    false_alarms_per_strut_year = serializers.FloatField()
    notice_days = serializers.IntegerField()
    version = serializers.IntegerField()


class OperatorSettingsView(OperatorView):
    """The caller's own operator."""

    needs = {"GET": READ, "PATCH": MANAGE}

    @extend_schema(operation_id="get_operator", summary="The operator's settings", responses=OperatorAnswer)
    def get(self, request: Request) -> Response:
        """Return the settings of the operator whose token this is."""
        return self._answer(self.operator)

    @extend_schema(
        operation_id="change_operator",
        summary="Change the operator's settings",
        request=OperatorInput(partial=True),
        responses=OperatorAnswer,
        examples=[
            OpenApiExample("metric", {"unit_system": "metric", "time_zone": "Europe/Lisbon"}, request_only=True)
        ],
    )
    def patch(self, request: Request) -> Response:
        """Change the settings named; the others stay."""
        require_match(request, self.operator.version)
        changes = self.checked_part(OperatorInput)
        operator = change_operator(actor=self.actor, now=self.now, version=self.operator.version, changes=changes)
        return self._answer(operator)

    def _answer(self, operator: Operator) -> Response:
        return self.answer(OperatorAnswer(operator).data, version=operator.version)


urlpatterns = [path("operator", OperatorSettingsView.as_view())]
