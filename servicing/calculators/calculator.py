"""What every calculator has in common: a shape in, one calculation, an answer that says what it rests on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, path
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from calculations.cautions import Step, cautions_for
from fleet.web.permissions import READ
from fleet.web.shapes import InputSerializer
from fleet.web.views import OperatorView


class CalculationBasisAnswer(serializers.Serializer[Any]):
    """Where the figures came from."""

    given = serializers.ListField(child=serializers.CharField(), help_text="Figures that the caller sent.")
    estimated = serializers.ListField(child=serializers.CharField(), help_text="Figures estimated for want of any.")
    sources = serializers.ListField(child=serializers.CharField(), help_text="Publications behind the calculation.")


class CalculatorAnswer(serializers.Serializer[Any]):
    """What the answer of every calculator carries besides its results."""

    basis = CalculationBasisAnswer()
    assumptions = serializers.ListField(child=serializers.CharField())
    cautions = serializers.ListField(child=serializers.CharField())


@dataclass(frozen=True, slots=True)
class Worked:
    """Results in the caller's units, and what they rest on."""

    results: Mapping[str, Any]
    sources: tuple[str, ...]
    assumptions: tuple[str, ...] = ()
    estimated: tuple[str, ...] = ()
    steps: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True)
class Calculator:
    """One endpoint under ``calculations/``; ``work`` takes checked values and the caller's unit system."""

    path: str
    operation_id: str
    summary: str
    shape: type[InputSerializer]
    answer: type[CalculatorAnswer]
    work: Callable[[Mapping[str, Any], str], Worked]
    example: Mapping[str, Any]
    detail: str = ""


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
            values = self.checked(calculator.shape)
            worked = calculator.work(values, self.unit_system)
            return self.answer(
                {
                    **worked.results,
                    "basis": {
                        "given": sorted(values),
                        "estimated": list(worked.estimated),
                        "sources": list(worked.sources),
                    },
                    "assumptions": list(worked.assumptions),
                    "cautions": [caution.text for caution in cautions_for(worked.steps)],
                }
            )

    CalculatorView.__doc__ = calculator.detail or calculator.summary
    CalculatorView.__name__ = calculator.operation_id.title().replace("_", "") + "View"
    return CalculatorView
