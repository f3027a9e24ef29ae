"""Load against stroke, and what a low extension costs: an indication, never a permission."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any, Final

from rest_framework import serializers

from calculations.strut import compression_ratios, load_stroke_curve, polytropic_pressure, reserve
from calculations.strut_curve import INDICATION
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.calculators.fields import NumberField, atmosphere_at
from servicing.calculators.strut_figures import strut_from
from servicing.calculators.strut_shapes import REST_EXAMPLE, AtRestInput, TargetStrutInput, rest_of

_CURREY: Final = "Currey, Aircraft Landing Gear Design, AIAA, 1988 (from memory, source not seen)"
_SOURCES: Final = (_CURREY, "Milwitzky and Cook, NACA Report 1154, 1953")
_SPRING: Final = "Gas spring alone, ideal gas: no orifice, friction, tyre or wing lift."


class StrokeInput(AtRestInput):
    """A strut at rest, where the stroke begins."""

    exponent = NumberField(default=1.1, help_text="1 slow, 1.1 gas and fluid mixed, 1.35 kept apart.")
    points = serializers.IntegerField(default=21, min_value=2, max_value=500)


class StrokePointAnswer(serializers.Serializer[Any]):
    """One extension on the way from full to bottomed."""

    extension = QuantityField("length")
    load = QuantityField("force")
    pressure = QuantityField("absolute_pressure")


class StrokeAnswer(CalculatorAnswer):
    """Load against extension."""

    curve = StrokePointAnswer(many=True)
    indication = serializers.CharField()


class ReserveInput(AtRestInput):
    """A strut at rest, perhaps low."""

    strut = TargetStrutInput()
    exponent = NumberField(default=1.1)


class ReserveAnswer(CalculatorAnswer):
    """What is left to the lower stop."""

    stroke_left = QuantityField("length")
    compression_ratio = serializers.FloatField()
    bottoming_load_factor = serializers.FloatField(help_text="Gas load at the lower stop over the load at rest.")
    energy = QuantityField("energy")
    energy_margin = serializers.FloatField(help_text="Against the target extension; -0.4 is 40 % less.")
    indication = serializers.CharField()


class RatiosInput(InputSerializer):
    """The two textbook ratios of absolute pressures."""

    extended_to_static = NumberField()
    static_to_compressed = NumberField()


class RatiosAnswer(CalculatorAnswer):
    """Volumes over swept volume, and the share of the stroke used at rest."""

    static_stroke_fraction = serializers.FloatField()
    extended_volume = serializers.FloatField()
    static_volume = serializers.FloatField()
    compressed_volume = serializers.FloatField()


class PolytropicInput(InputSerializer):
    """A gas pressed together quickly."""

    pressure = QuantityField("absolute_pressure")
    volume_ratio = NumberField(help_text="Volume before over volume after.")
    exponent = NumberField(help_text="1 isothermal, 1.4 adiabatic.")


class PolytropicAnswer(CalculatorAnswer):
    """Pressure after it."""

    pressure = QuantityField("absolute_pressure")


def _conditions(values: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "exponent": values["exponent"],
        "temperature_f": values["temperature"],
        "atmosphere_psia": atmosphere_at(values),
    }


def _stroke(values: Mapping[str, Any]) -> Worked:
    strut, (extension, _, load) = strut_from(values["strut"]), rest_of(values)
    found, _ = strut.settle(
        lambda: load_stroke_curve(extension, load, strut.figures, points=values["points"], **_conditions(values)),
        lambda: strut.bear(load),
    )
    columns = (found.extension_in, found.load_lbf, found.pressure_psia)
    names = ("extension", "load", "pressure")
    curve = [dict(zip(names, row, strict=True)) for row in zip(*columns, strict=True)]
    return Worked(
        {"curve": curve, "indication": INDICATION},
        sources=_SOURCES,
        assumptions=(_SPRING, INDICATION, *strut.assumptions),
        estimated=strut.estimated,
    )


def _reserve(values: Mapping[str, Any]) -> Worked:
    strut, (extension, _, load) = strut_from(values["strut"]), rest_of(values)
    target = values["strut"]["target_extension"]
    found, _ = strut.settle(
        lambda: reserve(extension, load, strut.figures, target_extension_in=target, **_conditions(values)),
        lambda: strut.bear(load),
    )
    results = {**asdict(found), "stroke_left": found.stroke_left_in, "energy": found.energy_in_lbf}
    return Worked(
        results,
        sources=_SOURCES,
        assumptions=(_SPRING, INDICATION, *strut.assumptions),
        estimated=strut.estimated,
    )


def _ratios(values: Mapping[str, Any]) -> Worked:
    found = compression_ratios(values["extended_to_static"], values["static_to_compressed"])
    return Worked(asdict(found), sources=(_CURREY,), assumptions=("Isothermal, ideal gas.",))


def _polytropic(values: Mapping[str, Any]) -> Worked:
    found = polytropic_pressure(values["pressure"], values["volume_ratio"], values["exponent"])
    return Worked({"pressure": found}, sources=(_CURREY,), assumptions=("Ideal gas.",))


_NAMES: Final = {"rest_extension_in": "extension", "target_extension_in": "strut.target_extension"}
CALCULATORS: Final = (
    Calculator(
        "strut/load-stroke",
        "find_load_stroke_curve",
        "Load against stroke",
        StrokeInput,
        StrokeAnswer,
        _stroke,
        REST_EXAMPLE,
        INDICATION,
        _NAMES,
    ),
    Calculator(
        "strut/reserve",
        "find_reserve",
        "Stroke and energy left at an extension",
        ReserveInput,
        ReserveAnswer,
        _reserve,
        {**REST_EXAMPLE, "extension": "2 in"},
        INDICATION,
        _NAMES,
    ),
    Calculator(
        "strut/compression-ratios",
        "find_compression_ratios",
        "Gas volumes and resting stroke from two pressure ratios",
        RatiosInput,
        RatiosAnswer,
        _ratios,
        {"extended_to_static": 4, "static_to_compressed": 3},
    ),
    Calculator(
        "strut/polytropic-pressure",
        "find_polytropic_pressure",
        "Gas pressure after a quick compression",
        PolytropicInput,
        PolytropicAnswer,
        _polytropic,
        {"pressure": "100 psia", "volume_ratio": 12, "exponent": 1.35},
    ),
)
