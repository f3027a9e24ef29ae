"""Equipment over HTTP."""

import uuid
from typing import Any

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.equipment.actions import add_equipment, change_equipment, equipment_of, log_cylinder_pressure
from fleet.equipment.models import Equipment
from fleet.equipment.queries import equipment_matching, pressures_of
from fleet.equipment.shapes import (
    CylinderPressureAnswer,
    CylinderPressureInput,
    EquipmentAnswer,
    EquipmentChange,
    EquipmentFilters,
    EquipmentInput,
    equipment_answer,
    figures_from,
    pressure_answer,
)
from fleet.operators.local_day import today_at
from fleet.web.etags import require_match
from fleet.web.idempotency import idempotent
from fleet.web.permissions import MANAGE, READ, REPORT
from fleet.web.schema import PAGE, page_of
from fleet.web.views import OperatorView


class EquipmentAnsweringView(OperatorView):
    """Answers equipment as it stands on the operator's own day."""

    def shown(self, equipment: Equipment) -> dict[str, Any]:
        """Return a piece of equipment as it is answered."""
        today = today_at(self.operator.time_zone, self.now)
        return equipment_answer(equipment, self.unit_system, today)


class EquipmentListView(EquipmentAnsweringView):
    """Equipment of the operator."""

    needs = {"GET": READ, "POST": MANAGE}

    @extend_schema(
        operation_id="list_equipment",
        summary="Pumps, cylinders, compressors and gauges",
        parameters=[EquipmentFilters, *PAGE],
        responses=page_of(EquipmentAnswer),
    )
    def get(self, request: Request) -> Response:
        """List the equipment by name."""
        filters = EquipmentFilters(data=request.query_params)
        filters.is_valid(raise_exception=True)
        rows = equipment_matching(self.operator, filters.validated_data)
        return self.page(rows, self.shown, order=("name", "id"))

    @extend_schema(
        operation_id="add_equipment",
        summary="Add a piece of equipment",
        request=EquipmentInput,
        responses={201: EquipmentAnswer, 200: EquipmentAnswer},
    )
    @idempotent
    def post(self, request: Request) -> Response:
        """Add equipment with the figures of its kind.

        A multiplier pump needs `area_ratio` and `drive_pressure`, a cylinder `water_volume`, a compressor
        `drive_pressure`, a gauge `calibration_due`; a hand pump is learned from its strokes.
        """
        values = self.checked(EquipmentInput)
        equipment, new = add_equipment(
            actor=self.actor,
            now=self.now,
            name=values["name"],
            kind=values["kind"],
            figures=figures_from(values),
            equipment_id=values.get("id"),
        )
        return self.answer(self.shown(equipment), status=201 if new else 200, version=equipment.version)


class EquipmentView(EquipmentAnsweringView):
    """One piece of equipment."""

    needs = {"GET": READ, "PATCH": MANAGE}

    @extend_schema(operation_id="get_equipment", summary="One piece of equipment", responses=EquipmentAnswer)
    def get(self, request: Request, equipment_id: uuid.UUID) -> Response:
        """Return a piece of equipment."""
        return self._answer(equipment_of(self.operator.id, equipment_id))

    @extend_schema(
        operation_id="change_equipment",
        summary="Change, retire or take back equipment",
        request=EquipmentChange,
        responses=EquipmentAnswer,
    )
    def patch(self, request: Request, equipment_id: uuid.UUID) -> Response:
        """Change name or figures; `retired` takes a piece out of use, its history stays."""
        before = equipment_of(self.operator.id, equipment_id)
        require_match(request, before.version)
        values = self.checked(EquipmentChange)
        changes = figures_from(values) | ({"name": values["name"]} if "name" in values else {})
        equipment = change_equipment(
            actor=self.actor,
            now=self.now,
            equipment_id=equipment_id,
            version=before.version,
            changes=changes,
            retired=values.get("retired"),
        )
        return self._answer(equipment)

    def _answer(self, equipment: Equipment) -> Response:
        return self.answer(self.shown(equipment), version=equipment.version)


class CylinderPressuresView(OperatorView):
    """The pressure log of one cylinder."""

    needs = {"GET": READ, "POST": REPORT}

    @extend_schema(
        operation_id="list_cylinder_pressures",
        summary="What a cylinder's gauge showed, newest first",
        parameters=PAGE,
        responses=page_of(CylinderPressureAnswer),
    )
    def get(self, request: Request, equipment_id: uuid.UUID) -> Response:
        """List the logged pressures."""
        equipment = equipment_of(self.operator.id, equipment_id)
        rows = pressures_of(self.operator, equipment.id)
        return self.page(rows, lambda row: pressure_answer(row, self.unit_system), order=("-taken_at", "-id"))

    @extend_schema(
        operation_id="log_cylinder_pressure",
        summary="Log a cylinder's pressure",
        request=CylinderPressureInput,
        responses={201: CylinderPressureAnswer, 200: CylinderPressureAnswer},
    )
    @idempotent
    def post(self, request: Request, equipment_id: uuid.UUID) -> Response:
        """Log what the gauge shows; logged before: 200."""
        values = self.checked(CylinderPressureInput)
        temperature = values.get("temperature")
        measured = {name: values[name].as_read for name in ("pressure", "temperature") if name in values}
        reading, new = log_cylinder_pressure(
            actor=self.actor,
            now=self.now,
            equipment_id=equipment_id,
            taken_at=values["taken_at"],
            pressure_psig=values["pressure"].internal,
            temperature_f=temperature.internal if temperature else None,
            as_read=measured,
            reading_id=values.get("id"),
        )
        return self.answer(pressure_answer(reading, self.unit_system), status=201 if new else 200)


urlpatterns = [
    path("equipment", EquipmentListView.as_view()),
    path("equipment/<uuid:equipment_id>", EquipmentView.as_view()),
    path("equipment/<uuid:equipment_id>/pressures", CylinderPressuresView.as_view()),
]
