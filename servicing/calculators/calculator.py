"""What every calculator has in common: a shape in, one calculation, an answer that says what it rests on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, cast

import numpy as np
from django.urls import URLPattern, path
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from calculations.cautions import Step, cautions_for
from calculations.errors import CalculationError
from fleet.refusals import Refused
from fleet.web.permissions import READ
from fleet.web.shapes import InputSerializer
from fleet.web.views import OperatorView
from servicing.calculators.fields import atmosphere_at, has_air
from servicing.calculators.given import BEYOND_NUMBERS, given_names, internal, together
from servicing.calculators.naming import in_callers_words
from servicing.calculators.of_leg import complete_from_sheets
from servicing.calculators.rendering import rendered


class CalculationBasisAnswer(serializers.Serializer[Any]):
    """Where the figures came from."""

    given = serializers.ListField(child=serializers.CharField(), help_text="Figures that the caller sent.")
    type_sheet = serializers.ListField(child=serializers.CharField(), help_text="Figures of the leg's type sheet.")
    estimated = serializers.ListField(child=serializers.CharField(), help_text="Figures estimated for want of any.")
    sources = serializers.ListField(child=serializers.CharField(), help_text="Publications behind the calculation.")


class CalculatorAnswer(serializers.Serializer[Any]):
    """What the answer of every calculator carries besides its results."""

    basis = CalculationBasisAnswer()
    assumptions = serializers.ListField(child=serializers.CharField())
    cautions = serializers.ListField(child=serializers.CharField())


@dataclass(frozen=True, slots=True)
class Worked:
    """Results in internal units, and what they rest on."""

    results: Mapping[str, Any]
    sources: tuple[str, ...]
    assumptions: tuple[str, ...] = ()
    estimated: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True)
class Calculator:
    """One endpoint under ``calculations/``; ``work`` takes checked values in internal units.

    ``names`` says how the caller knows an argument of the calculation whose name differs from a field's.
    """

    path: str
    operation_id: str
    summary: str
    shape: type[InputSerializer]
    answer: type[CalculatorAnswer]
    work: Callable[[Mapping[str, Any]], Worked]
    example: Mapping[str, Any]
    detail: str = ""
    names: Mapping[str, str] = field(default_factory=dict)


def addresses_of(calculators: Iterable[Calculator]) -> list[URLPattern]:
    """Return where the calculators answer."""
    return [path(f"calculations/{one.path}", _view_of(one).as_view(), name=one.operation_id) for one in calculators]


def _view_of(calculator: Calculator) -> type[OperatorView]:
    class CalculatorView(OperatorView):
        needs = {"POST": READ}

        @extend_schema(
            operation_id=calculator.operation_id,
            summary=calculator.summary,
            description=calculator.detail or calculator.summary,
            request=calculator.shape,
            responses=calculator.answer,
            examples=[OpenApiExample("Example", request_only=True, value=dict(calculator.example))],
            tags=["calculations"],
        )
        def post(self, request: Request) -> Response:
            values = internal(self.checked(calculator.shape))
            from_sheet = complete_from_sheets(calculator.shape(), values, self.operator)
            worked = _work(calculator, values)
            basis = {
                "given": given_names(request.data),
                "type_sheet": from_sheet,
                "estimated": worked.estimated,
                "sources": worked.sources,
            }
            cautions = [caution.text for caution in cautions_for(worked.steps)]
            answer = {**worked.results, "basis": basis, "assumptions": worked.assumptions, "cautions": cautions}
            return self.answer(rendered(calculator.answer, answer, self.unit_system))

    CalculatorView.__doc__ = calculator.detail or calculator.summary
    CalculatorView.__name__ = calculator.operation_id.title().replace("_", "") + "View"
    return CalculatorView


def _work(calculator: Calculator, values: Mapping[str, Any]) -> Worked:
    try:
        with np.errstate(over="raise", divide="raise", invalid="raise"):
            # A faulty elevation is set aside meanwhile, so that all other faults are told with it.
            usable = values if has_air(values) else {**values, "elevation": 0.0}
            worked, _ = together(lambda: calculator.work(usable), lambda: atmosphere_at(values))
            return cast(Worked, worked)
    except CalculationError as error:
        named = [in_callers_words(fault, calculator.shape(), calculator.names) for fault in error.faults]
        faults = {(fault.field, fault.code): fault for fault in named}
        message = "Physics or the type sheet refuses these figures."
        raise Refused(message, code="not_computable", faults=faults.values()) from error
    except BEYOND_NUMBERS as error:
        raise Refused("These figures are too large or too small to calculate with.", code="not_computable") from error
