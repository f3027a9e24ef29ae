"""What goes with a reading's answer: judgement, cautions, assumptions, and where the figures come from."""

from __future__ import annotations

from typing import Any, Final

from calculations.cautions import cautions_for
from calculations.units import Quantity, display
from fleet.web.quantities import quantity
from servicing.readings.figures import sheet_figures, without_unit
from servicing.readings.judgement import Action, JudgedReading, judge
from servicing.readings.judgement_words import in_words, length_in_words
from servicing.readings.known_fleet import KnownLeg
from servicing.readings.models import StrutReading
from servicing.readings.pressure_words import pressure_in_words
from servicing.readings.pressures import PressureAtRest, at_rest, pressures_at_rest

_SHEET_FIGURES: Final = (
    "target_extension_in", "low_limit_in", "high_limit_in", "full_extension_in", "reference_temperature_f",
    "reference_load_lbf", "reference_fuel_lb", "reference_occupants_lb", "load_per_fuel", "load_per_occupant",
    "tube_diameter_in", "gas_column_in", "fluid_volume_in3", "fluid_expansion_per_k",
)  # fmt: skip


def known_leg(reading: StrutReading) -> KnownLeg:
    """Return a reading's leg in the form that corrections take; its installations are left out."""
    leg, plane = reading.leg, reading.leg.aircraft
    return KnownLeg(leg.id, plane.id, plane.registration, leg.position, plane.home_elevation_ft, leg.sheet)


def strut_advice(reading: StrutReading, unit_system: str) -> dict[str, Any]:
    """Return judgement, cautions, assumptions and basis of a stored reading."""
    sheet = reading.leg.sheet
    pressure = pressure_of(reading)
    judged = _judged(reading, pressure)
    judgement = judge(judged)
    return {
        "judgement": {
            "place": str(judgement.place),
            "looks": str(judgement.looks),
            "because": str(judgement.reason) or None,
            "action": str(judgement.action),
            "text": in_words(judgement, judged, unit_system),
            "chance_low": round(judgement.chance_low, 4),
            "chance_high": round(judgement.chance_high, 4),
            "low_limit": quantity(sheet.low_limit_in, "length", unit_system),
            "target": quantity(sheet.target_extension_in, "length", unit_system),
            "high_limit": quantity(sheet.high_limit_in, "length", unit_system),
            "sigma_from_low_limit": round(judgement.sigma_from_low, 2),
            "sigma_from_target": round(judgement.sigma_from_target, 2),
            "sigma_from_high_limit": round(judgement.sigma_from_high, 2),
            "top_up": "/api/v1/top-ups" if judgement.action is Action.TOP_UP else None,
        },
        "pressure_check": _pressure_check(pressure, unit_system),
        "cautions": [caution.text for caution in cautions_for(judgement.steps)],
        "assumptions": _assumptions(reading, unit_system),
        "basis": basis_of(reading),
    }


def basis_of(reading: StrutReading) -> dict[str, Any]:
    """Return which figures came from the type sheet, which were estimated, and from which manual."""
    sheet = reading.leg.sheet
    estimated = list(sheet_figures([known_leg(reading)]).estimated[0])
    if reading.temperature_f is None:
        estimated.append("temperature")
    if reading.fuel_lb is None and reading.leg_load_lbf is None:
        estimated.append("fuel")
    return {
        "type_sheet": [without_unit(name) for name in _SHEET_FIGURES if getattr(sheet, name) is not None],
        "estimated": estimated,
        "manual": sheet.manual,
        "sheet_version": reading.corrected_sheet_version,
    }


def pressure_of(reading: StrutReading) -> PressureAtRest | None:
    """Return what a reading's pressure tells of the load on the strut, or None where none was read at rest."""
    return pressures_at_rest([reading], [known_leg(reading)])[0] if at_rest(reading) else None


def _pressure_check(found: PressureAtRest | None, unit_system: str) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "verdict": found.verdict.value,
        "carried": quantity(found.carried_lbf, "force", unit_system),
        "load": quantity(found.load_lbf, "force", unit_system),
        "excess_percent": round(100 * found.excess, 1),
        "excess_percent_uncertainty": round(100 * found.excess_sd, 1),
        "text": pressure_in_words(found, unit_system),
    }


def _judged(reading: StrutReading, pressure: PressureAtRest | None) -> JudgedReading:
    sheet = reading.leg.sheet
    return JudgedReading(
        extension_in=reading.extension_in,
        corrected_in=reading.corrected_in,
        uncertainty_in=reading.uncertainty_in,
        temperature_term_in=reading.gas_term_in + reading.real_gas_term_in + reading.fluid_term_in,
        load_term_in=reading.load_term_in,
        low_limit_in=sheet.low_limit_in,
        high_limit_in=sheet.high_limit_in,
        target_in=sheet.target_extension_in,
        # Only the sheet can say where the stop is; an estimate would cry wolf.
        full_extension_in=sheet.full_extension_in if sheet.full_extension_in is not None else float("inf"),
        exercised=reading.exercised,
        temperature_read=reading.temperature_f is not None,
        load_known=reading.fuel_lb is not None or reading.leg_load_lbf is not None,
        pressure=pressure.verdict if pressure else None,
    )


def _assumptions(reading: StrutReading, unit_system: str) -> list[str]:
    said = ["Read at rest on level ground."]
    if not reading.exercised:
        said.append("Not exercised: friction may hold the strut away from where its gas would have it.")
    if reading.temperature_f is None:
        used = _shown(reading.temperature_used_f, Quantity.TEMPERATURE, unit_system)
        spread = _shown(reading.temperature_sd_f, Quantity.TEMPERATURE_DIFFERENCE, unit_system)
        said.append(f"Temperature was not noted: {used} ± {spread} estimated from readings nearby.")
    if reading.leg_load_lbf is not None:
        return said
    if reading.fuel_lb is None:
        load = _shown(reading.load_lbf, Quantity.FORCE, unit_system)
        spread = _shown(reading.load_sd_lbf, Quantity.FORCE, unit_system)
        said.append(f"Fuel was not noted: a load of {load} ± {spread} estimated from how full it usually is.")
    if reading.occupants_lb is None:
        said.append("Nobody and no baggage on board.")
    if reading.leg.aircraft.home_elevation_ft is None:
        said.append("Air pressure as at sea level: the aircraft's home elevation is not known.")
    said.append(f"Uncertainty of the corrected extension: {length_in_words(reading.uncertainty_in, unit_system)}.")
    return said


def _shown(value: float, kind: Quantity, unit_system: str) -> str:
    shown = display(value, kind, unit_system)
    return f"{shown.value:.0f} {shown.unit}"
