"""Readings joined with their sheets' figures and corrected: the one path for POST, batch, CSV and re-correction."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import datetime
from typing import Final, Protocol

import numpy as np
import numpy.typing as npt

from calculations.gas import HIGHEST_PRESSURE_PSIA, HIGHEST_TEMPERATURE_F, LOWEST_TEMPERATURE_F, Gas
from calculations.strut import Correction, ReadingUncertainty, StrutFigures, StrutUncertainty, correct_extension
from servicing.readings.conditions import Conditions, Noted, conditions_for, days_of
from servicing.readings.entries import AsRead
from servicing.readings.figures import SheetFigures, sheet_figures
from servicing.readings.known_fleet import KnownFleet
from servicing.readings.ruler import ruler_steps_in

Array = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]

EYE_SD_IN: Final = 0.05  # ASSUMED
OTHER_LOAD_SD_LBF: Final = 4.0  # baggage, fluids, where the wheels stand; ASSUMED
WEIGHED_SD: Final = 0.01  # of a weighed load; ASSUMED
_LEAST_GAS_IN: Final = 0.05


class Readable(Protocol):
    """What a correction needs of an entry or of a stored reading."""

    @property
    def leg_id(self) -> uuid.UUID: ...
    @property
    def taken_at(self) -> datetime: ...
    @property
    def extension_in(self) -> float: ...
    @property
    def as_read(self) -> AsRead: ...
    @property
    def temperature_f(self) -> float | None: ...
    @property
    def fuel_lb(self) -> float | None: ...
    @property
    def occupants_lb(self) -> float | None: ...
    @property
    def leg_load_lbf(self) -> float | None: ...
    @property
    def exercised(self) -> bool: ...


@dataclass(frozen=True, slots=True)
class Joined:
    """Rows as columns, each joined with the number of its leg and of its aircraft; NaN where nothing was noted."""

    figures: SheetFigures
    leg: Integers
    noted: Noted
    extension_in: Array
    occupants_lb: Array
    leg_load_lbf: Array
    exercised: npt.NDArray[np.bool_]
    scale_in: Array


@dataclass(frozen=True, slots=True)
class Corrected:
    """The derived columns of `StrutReading`, one value per row, by their names there."""

    scale_in: Array
    temperature_used_f: Array
    temperature_sd_f: Array
    load_lbf: Array
    load_sd_lbf: Array
    corrected_in: Array
    gas_term_in: Array
    real_gas_term_in: Array
    fluid_term_in: Array
    load_term_in: Array
    air_pressure_term_in: Array
    uncertainty_in: Array
    corrected_sheet_version: Integers


CORRECTED_COLUMNS: Final = tuple(field.name for field in fields(Corrected))


def join(rows: Sequence[Readable], fleet: KnownFleet) -> Joined:
    """Return rows as columns beside their legs' figures; every leg must be known."""
    leg_ids = list(dict.fromkeys(row.leg_id for row in rows))
    legs = [fleet.legs[leg_id] for leg_id in leg_ids]
    number = {leg_id: index for index, leg_id in enumerate(leg_ids)}
    aircraft_of_leg = np.array([aircraft_number(leg.aircraft_id) for leg in legs], np.int64)
    leg = np.array([number[row.leg_id] for row in rows], np.int64)
    return Joined(
        figures=sheet_figures(legs),
        leg=leg,
        noted=Noted(
            aircraft=aircraft_of_leg[leg],
            day=days_of([row.taken_at for row in rows]),
            temperature_f=_column([row.temperature_f for row in rows]),
            fuel_lb=_column([row.fuel_lb for row in rows]),
        ),
        extension_in=_column([row.extension_in for row in rows]),
        occupants_lb=_column([row.occupants_lb for row in rows]),
        leg_load_lbf=_column([row.leg_load_lbf for row in rows]),
        exercised=np.array([row.exercised for row in rows], np.bool_),
        scale_in=ruler_steps_in([row.as_read for row in rows]),
    )


def aircraft_number(aircraft_id: uuid.UUID) -> int:
    """Return a number that stands for an aircraft in arrays."""
    return aircraft_id.int & (2**63 - 1)


def needs_estimates(joined: Joined) -> bool:
    """Say whether any row lacks a temperature, or a fuel that its load depends on."""
    no_fuel = np.isnan(joined.noted.fuel_lb) & np.isnan(joined.leg_load_lbf)
    return bool((np.isnan(joined.noted.temperature_f) | no_fuel).any())


def correct(joined: Joined, noted: Noted) -> Corrected:
    """Return the corrected columns.

    ``noted`` is what all live readings of the same aircraft noted, these rows among them: missing
    conditions are estimated from it.
    """
    figures, leg = joined.figures, joined.leg
    conditions = conditions_for(
        joined.noted,
        noted,
        figures.reference_temperature_f[leg],
        figures.reference_fuel_lb[leg],
    )
    load, load_sd, total_load_sd = _loads(joined, conditions)
    readable = _within_physics(joined, conditions, load)
    correction = _corrections(joined, readable, conditions, total_load_sd)
    # What was clipped to fit physics still starts from what was read.
    clipped = joined.extension_in - readable.extension_in
    return Corrected(
        scale_in=joined.scale_in,
        temperature_used_f=conditions.temperature_f,
        temperature_sd_f=conditions.temperature_sd_f,
        load_lbf=load,
        load_sd_lbf=load_sd,
        corrected_in=correction.corrected_in + clipped,
        gas_term_in=correction.gas_in,
        real_gas_term_in=correction.real_gas_in,
        fluid_term_in=correction.fluid_in,
        load_term_in=correction.load_in,
        air_pressure_term_in=correction.atmosphere_in,
        uncertainty_in=np.hypot(correction.uncertainty_in, clipped),
        corrected_sheet_version=figures.version[leg],
    )


def _column(values: list[float | None] | list[float]) -> Array:
    return np.array(values, dtype=np.float64)


def _loads(joined: Joined, conditions: Conditions) -> tuple[Array, Array, Array]:
    """Return load, what varies of its uncertainty from reading to reading, and all of it."""
    figures, leg = joined.figures, joined.leg
    per_fuel, per_person = figures.load_per_fuel[leg], figures.load_per_occupant[leg]
    people = np.nan_to_num(joined.occupants_lb)  # nobody aboard unless someone says so
    more_fuel = conditions.fuel_lb - figures.reference_fuel_lb[leg]
    more_people = people - figures.reference_occupants_lb[leg]
    load = figures.reference_load_lbf[leg] + per_fuel * more_fuel + per_person * more_people
    varying = np.hypot(per_fuel * conditions.fuel_sd_lb, OTHER_LOAD_SD_LBF)
    total = np.hypot(varying, sheet_load_sd(figures, leg, more_fuel, more_people))
    weighed = ~np.isnan(joined.leg_load_lbf)
    weighed_sd = np.maximum(WEIGHED_SD * np.nan_to_num(joined.leg_load_lbf), OTHER_LOAD_SD_LBF)
    return (
        np.where(weighed, joined.leg_load_lbf, load),
        np.where(weighed, weighed_sd, varying),
        np.where(weighed, weighed_sd, total),
    )


def sheet_load_sd(figures: SheetFigures, leg: Integers, more_fuel: Array, more_people: Array) -> Array:
    """Return what the sheet leaves uncertain of a load [lbf], with so much more aboard than it holds for [lb]."""
    return np.sqrt(
        (figures.load_per_fuel_sd[leg] * more_fuel) ** 2
        + (figures.load_per_fuel[leg] * figures.reference_fuel_sd_lb[leg]) ** 2
        + (figures.load_per_occupant_sd[leg] * more_people) ** 2
    )


@dataclass(frozen=True, slots=True)
class _Readable:
    """Rows moved, where need be, to the nearest state that a strut can be in.

    New rows are refused long before; but a changed sheet must not make an old reading impossible to correct.
    """

    extension_in: Array
    temperature_f: Array
    load_lbf: Array
    gas_column_in: Array


def _within_physics(joined: Joined, conditions: Conditions, load: Array) -> _Readable:
    figures, leg = joined.figures, joined.leg
    strut = figures.strut_figures(leg)
    longest = figures.full_extension_in[leg] + 2.9 * figures.full_extension_sd_in[leg]
    extension = np.clip(joined.extension_in, 0.0, longest)
    temperature = np.clip(conditions.temperature_f, LOWEST_TEMPERATURE_F + 0.1, HIGHEST_TEMPERATURE_F - 0.1)
    growth = strut.fluid_growth_in_per_k * (temperature - np.asarray(strut.figures_temperature_f)) / 1.8
    column = np.maximum(figures.gas_column_in[leg], growth - extension + _LEAST_GAS_IN)
    heaviest = 0.9 * HIGHEST_PRESSURE_PSIA * strut.area_in2
    return _Readable(extension, temperature, np.clip(load, 1.0, heaviest), column)


def _corrections(joined: Joined, rows: _Readable, conditions: Conditions, load_sd: Array) -> Correction:
    air = joined.figures.dry_air[joined.leg]
    if not air.any():
        return _corrected_with(Gas.NITROGEN, np.arange(len(air)), joined, rows, conditions, load_sd)
    if air.all():
        return _corrected_with(Gas.AIR, np.arange(len(air)), joined, rows, conditions, load_sd)
    parts = {gas: np.flatnonzero(air == (gas is Gas.AIR)) for gas in (Gas.NITROGEN, Gas.AIR)}
    found = {gas: _corrected_with(gas, part, joined, rows, conditions, load_sd) for gas, part in parts.items()}
    back = np.argsort(np.concatenate(list(parts.values())))
    return Correction(
        **{
            field.name: np.concatenate([getattr(part, field.name) for part in found.values()])[back]
            for field in fields(Correction)
        }
    )


def _corrected_with(
    gas: Gas, some: Integers, joined: Joined, rows: _Readable, conditions: Conditions, load_sd: Array
) -> Correction:
    figures, leg = joined.figures, joined.leg[some]
    strut: StrutFigures = replace(figures.strut_figures(leg), gas=gas, gas_column_in=rows.gas_column_in[some])
    uncertainty: StrutUncertainty = figures.strut_uncertainty(leg)
    return correct_extension(
        rows.extension_in[some],
        rows.temperature_f[some],
        rows.load_lbf[some],
        strut,
        atmosphere_psia=figures.atmosphere_psia[leg],
        exercised=joined.exercised[some],
        figures_uncertainty=uncertainty,
        reading_uncertainty=ReadingUncertainty(
            extension_in=np.sqrt(EYE_SD_IN**2 + joined.scale_in[some] ** 2 / 12),
            temperature_f=conditions.temperature_sd_f[some],
            load_lbf=load_sd[some],
        ),
    )
