"""Type sheets over HTTP."""

import uuid
from typing import Any

from django.urls import path
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.aircraft.models import FillGas, SheetPosition, TypeSheet
from fleet.aircraft.queries import type_sheet_of, type_sheets_of
from fleet.aircraft.sheet_actions import add_type_sheet, change_type_sheet
from fleet.web.etags import require_match
from fleet.web.idempotency import idempotent
from fleet.web.permissions import MANAGE, READ
from fleet.web.quantities import QuantityField, internal_values
from fleet.web.schema import PAGE, page_of
from fleet.web.shapes import InputSerializer
from fleet.web.views import OperatorView

NOT_PRINTED: dict[str, Any] = {"required": False, "allow_null": True}


class TypeSheetFields(serializers.Serializer[Any]):
    """The figures, on the way in and on the way out. What the manual does not print stays empty."""

    name = serializers.CharField(max_length=80)
    position = serializers.ChoiceField(SheetPosition.choices)
    manual_reference = serializers.CharField(max_length=120, allow_blank=True, default="")
    manual_revision = serializers.CharField(max_length=40, allow_blank=True, default="")

    target_extension = QuantityField("length", minimum=0.1, maximum=60.0, source="target_extension_in")
    low_limit = QuantityField("length", minimum=0.05, maximum=60.0, source="low_limit_in")
    high_limit = QuantityField("length", minimum=0.1, maximum=60.0, source="high_limit_in")
    full_extension = QuantityField("length", minimum=0.1, maximum=60.0, source="full_extension_in", **NOT_PRINTED)
    reference_temperature = QuantityField(
        "temperature", minimum=-80.0, maximum=160.0, source="reference_temperature_f", **NOT_PRINTED
    )
    reference_load = QuantityField(
        "force", minimum=1.0, maximum=1e6, source="reference_load_lbf", help_text="On this leg.", **NOT_PRINTED
    )
    reference_fuel = QuantityField("mass", minimum=0.0, maximum=1e6, source="reference_fuel_lb", **NOT_PRINTED)
    reference_occupants = QuantityField(
        "mass", minimum=0.0, maximum=1e5, source="reference_occupants_lb", **NOT_PRINTED
    )
    load_per_fuel = serializers.FloatField(
        min_value=-2.0, max_value=2.0, help_text="Part of the fuel's weight that this leg carries.", **NOT_PRINTED
    )
    load_per_occupant = serializers.FloatField(
        min_value=-2.0, max_value=2.0, help_text="Part of the occupants' weight that it carries.", **NOT_PRINTED
    )

    tube_diameter = QuantityField("length", minimum=0.1, maximum=30.0, source="tube_diameter_in", **NOT_PRINTED)
    gas_column = QuantityField(
        "length",
        minimum=0.01,
        maximum=60.0,
        source="gas_column_in",
        help_text="Gas left above the fluid when fully compressed, as a length of the tube.",
        **NOT_PRINTED,
    )
    fluid_volume = QuantityField("volume", minimum=0.0, maximum=1e5, source="fluid_volume_in3", **NOT_PRINTED)
    fluid_expansion_per_k = serializers.FloatField(min_value=0.0, max_value=0.01, **NOT_PRINTED)
    fluid = serializers.CharField(max_length=40, allow_blank=True, default="")
    gas = serializers.ChoiceField(FillGas.choices, default=FillGas.NITROGEN)
    maximum_pressure = QuantityField(
        "gauge_pressure", minimum=0.0, maximum=1e4, source="maximum_pressure_psig", **NOT_PRINTED
    )

    tyre_size = serializers.CharField(max_length=24, allow_blank=True, default="")
    tyre_ply_rating = serializers.IntegerField(min_value=1, max_value=50, **NOT_PRINTED)
    tyre_service_pressure = QuantityField(
        "gauge_pressure", minimum=1.0, maximum=500.0, source="tyre_service_pressure_psig", **NOT_PRINTED
    )
    tyre_wear_limit = QuantityField("length", minimum=0.0, maximum=2.0, source="tyre_wear_limit_in", **NOT_PRINTED)
    wheels_per_axle = serializers.IntegerField(min_value=1, max_value=4, default=1)


class TypeSheetChange(TypeSheetFields, InputSerializer):
    """What of a sheet may be changed; the position stays, because legs rely on it."""

    position = None  # type: ignore[assignment]  # this is how a shape drops an inherited field


class TypeSheetInput(TypeSheetFields, InputSerializer):
    """A new sheet."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the client, or left to the service.")


class TypeSheetAnswer(TypeSheetFields):
    """A type sheet."""

    id = serializers.UUIDField()
    version = serializers.IntegerField()


class TypeSheetFilters(serializers.Serializer[Any]):
    """Which sheets a list keeps."""

    position = serializers.ChoiceField(SheetPosition.choices, required=False)


EXAMPLE = OpenApiExample(
    "a main leg",
    {
        "name": "Example trainer",
        "position": "main",
        "manual_reference": "Example maintenance manual, chapter 32",
        "manual_revision": "B",
        "target_extension": "4 1/2 in",
        "low_limit": {"value": 4.0, "unit": "in"},
        "high_limit": {"value": 5.0, "unit": "in"},
        "reference_temperature": "70 degF",
        "tube_diameter": "2 1/4 in",
        "tyre_service_pressure": "30 psi",
    },
    request_only=True,
)


class TypeSheetsView(OperatorView):
    """The operator's type sheets."""

    needs = {"GET": READ, "POST": MANAGE}

    @extend_schema(
        operation_id="list_type_sheets",
        summary="The operator's type sheets, by name",
        parameters=[TypeSheetFilters, *PAGE],
        responses=page_of(TypeSheetAnswer),
    )
    def get(self, request: Request) -> Response:
        """List the sheets: per type and kind of leg the figures that the manual prints."""
        return self.page(
            type_sheets_of(self.operator, **self.filters(TypeSheetFilters)), self._shown, order=("name", "id")
        )

    @extend_schema(
        operation_id="add_type_sheet",
        summary="Add a type sheet",
        request=TypeSheetInput,
        responses={201: TypeSheetAnswer, 200: TypeSheetAnswer},
        examples=[EXAMPLE],
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Add a sheet. Only target and limits are needed; a figure left out is estimated, and marked so."""
        values = internal_values(self.checked(TypeSheetInput))
        sheet_id = values.pop("id", None)
        sheet, new = add_type_sheet(actor=self.actor, now=self.now, values=values, sheet_id=sheet_id)
        return self.answer(self._shown(sheet), 201 if new else 200, version=sheet.version)

    def _shown(self, sheet: TypeSheet) -> dict[str, Any]:
        return sheet_answer(sheet, self.unit_system)


class TypeSheetView(OperatorView):
    """One type sheet."""

    needs = {"GET": READ, "PATCH": MANAGE}

    @extend_schema(operation_id="get_type_sheet", summary="One type sheet", responses=TypeSheetAnswer)
    def get(self, request: Request, sheet_id: uuid.UUID) -> Response:
        """Return a sheet."""
        return self._answer(type_sheet_of(self.operator, sheet_id))

    @extend_schema(
        operation_id="change_type_sheet",
        summary="Change a type sheet as the manual is revised",
        request=TypeSheetChange(partial=True),
        responses=TypeSheetAnswer,
        examples=[
            OpenApiExample("a new revision", {"manual_revision": "C", "high_limit": "4 7/8 in"}, request_only=True)
        ],
    )
    def patch(self, request: Request, sheet_id: uuid.UUID) -> Response:
        """Change figures; every reading that was corrected with the old ones is then corrected anew."""
        sheet = type_sheet_of(self.operator, sheet_id)
        require_match(request, sheet.version)
        changes = internal_values(self.checked_part(TypeSheetChange))
        return self._answer(
            change_type_sheet(
                actor=self.actor, now=self.now, sheet_id=sheet_id, version=sheet.version, changes=changes
            )
        )

    def _answer(self, sheet: TypeSheet) -> Response:
        return self.answer(sheet_answer(sheet, self.unit_system), version=sheet.version)


def sheet_answer(sheet: TypeSheet, unit_system: str) -> dict[str, Any]:
    """Return a sheet in the caller's units."""
    return dict(TypeSheetAnswer(sheet, context={"unit_system": unit_system}).data)


urlpatterns = [
    path("type-sheets", TypeSheetsView.as_view()),
    path("type-sheets/<uuid:sheet_id>", TypeSheetView.as_view()),
]
