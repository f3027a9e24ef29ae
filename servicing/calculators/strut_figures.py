"""A strut's figures in a calculator's request: what the caller or the type sheet knows, the rest estimated."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, replace
from functools import partial
from typing import Any, ClassVar, Final

from rest_framework import serializers

from calculations.checks import Checks
from calculations.errors import CalculationError, Fault
from calculations.gas import Gas
from calculations.strut import StrutFigures, StrutSheet, StrutUncertainty, estimate_missing
from calculations.strut_figures import check_figures
from fleet.aircraft.models import Leg, Position
from fleet.web.quantities import QuantityField
from servicing.calculators.fields import GasField, NumberField, gas_of
from servicing.calculators.given import together
from servicing.calculators.of_leg import FiguresOfLeg
from servicing.readings.figures import without_unit

_COLUMNS: Final = {
    "tube_diameter": "tube_diameter_in",
    "gas_column": "gas_column_in",
    "fluid_volume": "fluid_volume_in3",
    "fluid_expansion_per_k": "fluid_expansion_per_k",
    "full_extension": "full_extension_in",
    "target_extension": "target_extension_in",
    "reference_load": "reference_load_lbf",
    "reference_temperature": "reference_temperature_f",
    "rest_pressure": "rest_pressure_psig",
}
_KINDS: Final = {Position.NOSE: "nose", Position.TAIL: "tail"}
_FIGURES: Final = {field.name for field in fields(StrutFigures)}


class StrutInput(FiguresOfLeg):
    """A strut as its sheet gives it; leave out what the sheet does not say."""

    from_sheet: ClassVar = {
        **{name: column for name, column in _COLUMNS.items() if name != "rest_pressure"},
        "maximum_pressure": "maximum_pressure_psig",
        "gas": "gas",
    }

    leg = serializers.ChoiceField(["main", "nose", "tail"], required=False, help_text="main when left out.")
    tube_diameter = QuantityField("length", required=False, help_text="Outside diameter of the tube at the seal.")
    gas_column = QuantityField("length", required=False, help_text="Gas column left when fully compressed.")
    fluid_volume = QuantityField("volume", required=False)
    fluid_expansion_per_k = NumberField(required=False, help_text="Expansion of the fluid per kelvin.")
    figures_temperature = QuantityField(
        "temperature", required=False, help_text="For which gas column and fluid volume hold; 70 degF when left out."
    )
    full_extension = QuantityField("length", required=False)
    target_extension = QuantityField("length", required=False)
    reference_load = QuantityField("force", required=False, help_text="Load for which the sheet's figures hold.")
    reference_temperature = QuantityField("temperature", required=False)
    rest_pressure = QuantityField("gauge_pressure", required=False, help_text="Read at rest under that load.")
    maximum_pressure = QuantityField(
        "gauge_pressure", required=False, help_text="That the sheet allows at rest; more is refused."
    )
    gas = GasField(required=False, default=serializers.empty, help_text="nitrogen when left out.")

    def of_sheet(self, leg: Leg) -> dict[str, Any]:
        """Return the sheet's figures and which kind of leg it is."""
        return {**super().of_sheet(leg), "leg": _KINDS.get(Position(leg.position), "main")}


EXAMPLE: Final = {
    "leg": "main",
    "tube_diameter": "2 in",
    "gas_column": "0.5 in",
    "fluid_volume": "30 in3",
    "full_extension": "8 in",
    "target_extension": "3 1/4 in",
    "reference_load": "800 lbf",
    "reference_temperature": "59 degF",
}


@dataclass(frozen=True, slots=True)
class KnownStrut:
    """Figures, how well they are known, what was estimated, and what cannot be right."""

    figures: StrutFigures
    uncertainty: StrutUncertainty
    estimated: tuple[str, ...]
    maximum_psig: float | None
    faults: tuple[Fault, ...]

    def settle(self, *calls: Callable[[], Any]) -> list[Any]:
        """Return what the calls give, or raise with their faults and the strut's own."""
        return together(*calls, faults=self.faults)

    def check(self) -> None:
        """Refuse figures that no strut can have."""
        checks = Checks()
        check_figures(checks, self.figures)
        checks.settle()

    def bear(self, load_lbf: float, field: str = "load_lbf", place: int | None = None) -> None:
        """Refuse a load whose pressure at rest exceeds the sheet's maximum."""
        area = float(self.figures.area_in2)
        if area > 0:
            self.hold(load_lbf / area, field, place)

    def bear_each(self, loads_lbf: Iterable[float], field: str) -> None:
        """Refuse those of several loads that `bear` would refuse."""
        together(*(partial(self.bear, load, field, place) for place, load in enumerate(loads_lbf)))

    def hold(self, pressure_psig: float, field: str, place: int | None = None) -> None:
        """Refuse a gauge pressure above the sheet's maximum."""
        if self.maximum_psig is not None and pressure_psig > self.maximum_psig:
            message = f"means {pressure_psig:.0f} psi in the strut; the sheet allows {self.maximum_psig:.0f} psi"
            raise CalculationError([Fault(field, "above_maximum_pressure", message, place)])

    @property
    def assumptions(self) -> tuple[str, ...]:
        """In words, what was estimated for want of a figure."""
        return tuple(
            f"{name.removeprefix('strut.').replace('_', ' ').capitalize()} is not given: estimated for a light "
            "aircraft, which widens the uncertainty."
            for name in self.estimated
        )


def strut_from(values: Mapping[str, Any]) -> KnownStrut:
    """Return the strut of a request; never raises, so that its faults can be told with all others."""
    known = {column: values[name] for name, column in _COLUMNS.items() if name in values}
    faults: tuple[Fault, ...] = ()
    gas = Gas.NITROGEN
    try:
        gas = gas_of(values.get("gas", gas.value))
    except CalculationError as error:
        faults += _in_strut(error)
    leg = values.get("leg", "main")
    try:
        found = estimate_missing(StrutSheet(leg=leg, gas=gas, **known))
    except CalculationError as error:
        faults += _in_strut(error)
        wrong = {fault.field for fault in error.faults}
        found = estimate_missing(StrutSheet(leg=leg, gas=gas, **{k: v for k, v in known.items() if k not in wrong}))
        # A faulty figure goes on as given, so that nothing is said about an estimate in its place.
        found = replace(found, figures=replace(found.figures, **{k: known[k] for k in wrong & _FIGURES}))
    figures = found.figures
    if "figures_temperature" in values:
        figures = replace(figures, figures_temperature_f=values["figures_temperature"])
    estimated = tuple(f"strut.{_caller_name(name)}" for name in found.estimated)
    return KnownStrut(figures, found.uncertainty, estimated, values.get("maximum_pressure"), faults)


def _in_strut(error: CalculationError) -> tuple[Fault, ...]:
    return tuple(replace(one, field=f"strut.{_caller_name(one.field)}") for one in error.faults)


def _caller_name(column: str) -> str:
    return next((name for name, known in _COLUMNS.items() if known == column), without_unit(column))
