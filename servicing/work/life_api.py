"""Life of parts and outlook of cylinders over HTTP."""

import uuid
from typing import Any

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from calculations.cautions import Step
from fleet.web.permissions import READ
from fleet.web.quantities import QuantityField, quantity
from fleet.web.views import OperatorView
from servicing.work.cylinders import STRUT_FIGURES, CylinderOutlook, cylinder_outlook
from servicing.work.part_life import PartLife, Since, strut_life, tyre_life
from servicing.work.safety import cautions_for_steps


class SinceAnswer(serializers.Serializer[Any]):
    """What a part has done since a moment."""

    at = serializers.DateTimeField()
    why = serializers.CharField()
    days = serializers.FloatField()
    flights = serializers.IntegerField()
    landings = serializers.IntegerField()
    hours = serializers.FloatField()


class PartLifeAnswer(serializers.Serializer[Any]):
    """A part's life; null where nothing of the kind is known."""

    since_installed = SinceAnswer(allow_null=True)
    since_servicing = SinceAnswer(allow_null=True)
    since_new_life = SinceAnswer(allow_null=True)


class CylinderOutlookAnswer(serializers.Serializer[Any]):
    """A cylinder's content and how long it lasts."""

    pressure = QuantityField("gauge_pressure")
    taken_at = serializers.DateTimeField()
    usable_gas = QuantityField("charge")
    top_ups_left = serializers.IntegerField()
    order_next = serializers.BooleanField()
    change_now = serializers.BooleanField()
    change_by = serializers.DateField(
        allow_null=True,
        help_text="By the top-ups or by the fall of the logged pressure since it was filled, whichever is sooner; "
        "null where nothing was used, or where it is more than ten years off.",
    )
    strut_pressure = QuantityField("gauge_pressure", help_text="Highest among the fleet's struts at rest.")
    rise_per_top_up = QuantityField("length")
    top_ups_counted = serializers.IntegerField()
    top_ups_since = serializers.IntegerField(help_text="Done after the pressure was read; taken off what is left.")
    counted_days = serializers.IntegerField()
    cautions = serializers.ListField(child=serializers.CharField())
    assumptions = serializers.ListField(child=serializers.CharField())
    basis = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))


class StrutLifeView(OperatorView):
    """Life of one strut."""

    needs = {"GET": READ}

    @extend_schema(
        operation_id="get_strut_life", summary="Time, flights and landings of a strut", responses=PartLifeAnswer
    )
    def get(self, request: Request, strut_id: uuid.UUID) -> Response:
        """Return what a strut has done since it was installed, serviced and resealed, on whatever aircraft."""
        return self.answer(life_answer(strut_life(self.operator, strut_id, now=self.now)))


class TyreLifeView(OperatorView):
    """Life of one tyre."""

    needs = {"GET": READ}

    @extend_schema(
        operation_id="get_tyre_life", summary="Time, flights and landings of a tyre", responses=PartLifeAnswer
    )
    def get(self, request: Request, tyre_id: uuid.UUID) -> Response:
        """Return what a tyre has done since it was installed and serviced, on whatever aircraft."""
        return self.answer(life_answer(tyre_life(self.operator, tyre_id, now=self.now)))


class CylinderOutlookView(OperatorView):
    """Outlook of one cylinder."""

    needs = {"GET": READ}

    @extend_schema(
        operation_id="get_cylinder_outlook",
        summary="What is left in a nitrogen cylinder, and when to change it",
        responses=CylinderOutlookAnswer,
    )
    def get(self, request: Request, equipment_id: uuid.UUID) -> Response:
        """Return content, top-ups left and a change-by date, from the last pressure that was logged."""
        found = cylinder_outlook(self.operator, equipment_id, now=self.now)
        return self.answer(_outlook_answer(found, self.unit_system))


def life_answer(life: PartLife) -> dict[str, Any]:
    """Return a part's life."""
    return {name: _since(getattr(life, name)) for name in ("since_installed", "since_servicing", "since_new_life")}


def _since(since: Since | None) -> dict[str, Any] | None:
    if since is None:
        return None
    return {
        "at": since.at.isoformat(),
        "why": since.why,
        "days": round(since.days, 2),
        "flights": since.used.flights,
        "landings": since.used.landings,
        "hours": round(since.used.hours, 2),
    }


def _outlook_answer(found: CylinderOutlook, unit_system: str) -> dict[str, Any]:
    return {
        "pressure": quantity(found.reading.pressure_psig, "gauge_pressure", unit_system),
        "taken_at": found.reading.taken_at.isoformat(),
        "usable_gas": quantity(float(found.result.usable_mol), "charge", unit_system),
        "top_ups_left": int(found.result.top_ups_left),
        "order_next": bool(found.result.order_next),
        "change_now": bool(found.result.change_now),
        "change_by": found.change_by.isoformat() if found.change_by else None,
        "strut_pressure": quantity(found.strut_psig, "gauge_pressure", unit_system),
        "rise_per_top_up": quantity(found.rise_per_top_up_in, "length", unit_system),
        "top_ups_counted": found.top_ups_counted,
        "top_ups_since": found.top_ups_since,
        "counted_days": found.counted_days,
        "cautions": cautions_for_steps(Step.CYLINDER),
        "assumptions": [
            "The cylinder must keep 50 psi above the hardest strut for gas to flow well.",
            "The hose is vented after each top-up.",
            "Each top-up takes what the strut takes that asks for the most gas.",
        ],
        "basis": {
            "type_sheet": [name for name in STRUT_FIGURES if name not in found.estimated],
            "estimated": list(found.estimated),
        },
    }


urlpatterns = [
    path("struts/<uuid:strut_id>/life", StrutLifeView.as_view()),
    path("tyres/<uuid:tyre_id>/life", TyreLifeView.as_view()),
    path("equipment/<uuid:equipment_id>/outlook", CylinderOutlookView.as_view()),
]
