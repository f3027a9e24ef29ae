"""The closed list of units that are accepted and given."""

from __future__ import annotations

from typing import Any, Final

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from calculations.units import KINDS, units_of
from fleet.web.permissions import READ
from fleet.web.views import OperatorView


class AcceptedUnitAnswer(serializers.Serializer[Any]):
    """One unit."""

    symbol = serializers.CharField()
    ucum = serializers.CharField(help_text="Case-sensitive code of the Unified Code for Units of Measure.")
    aliases = serializers.ListField(child=serializers.CharField(), help_text="Other spellings that are understood.")


class QuantityUnitsAnswer(serializers.Serializer[Any]):
    """One quantity and its units."""

    quantity = serializers.CharField()
    reference = serializers.CharField(help_text="gauge, absolute or difference for a pressure, else empty.")
    us = serializers.CharField(help_text="Unit of answers in the us system.")
    metric = serializers.CharField(help_text="Unit of answers in the metric system.")
    units = AcceptedUnitAnswer(many=True)


class UnitsAnswer(serializers.Serializer[Any]):
    """Every quantity; no unit beyond these is accepted."""

    quantities = QuantityUnitsAnswer(many=True)


_QUANTITIES: Final = [
    {
        "quantity": str(quantity),
        "reference": kind.reference,
        "us": kind.us,
        "metric": kind.metric,
        "units": [
            {"symbol": unit.symbol, "ucum": unit.ucum, "aliases": list(unit.aliases)} for unit in units_of(quantity)
        ],
    }
    for quantity, kind in KINDS.items()
]


class UnitsView(OperatorView):
    """Accepted units."""

    needs = {"GET": READ}

    @extend_schema(operation_id="list_units", summary="Accepted units", responses=UnitsAnswer, tags=["calculations"])
    def get(self, request: Request) -> Response:
        """Answer every quantity with the units that it accepts, their UCUM codes, and those of answers."""
        return self.answer({"quantities": _QUANTITIES})


urlpatterns = [path("units", UnitsView.as_view(), name="list_units")]
