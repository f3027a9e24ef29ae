"""Eighteen months of the invented club: struts and tyres as they were, and what people wrote down."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calculations.atmosphere import standard_pressure_psia
from calculations.constants import STANDARD_ATMOSPHERE_PSI
from calculations.strut import StrutFigures, charge_mol, extension_in
from deploy.demo.club import DAYS, FLEET, ClubAircraft, LegFigures, Trouble
from deploy.demo.weather import air_temperature_f

FloatArray = npt.NDArray[np.float64]
SEED = 20261
FIELD_ELEVATION_FT = 640.0
REFERENCE_TEMPERATURE_F = 70.0
DAYS_PER_MONTH = 365.25 / 12
SEEP_IN_PER_MONTH = 0.003
LATE_SETTLING_DAYS = 6.0
TANK_LB = {"Quillet 2": 140.0, "Dunlark 4": 288.0}
LEGS = ("nose", "left main", "right main")
NO_TROUBLE = Trouble(from_day=0)


@dataclass(frozen=True, slots=True)
class StrutRow:
    """One line of the club's strut readings."""

    registration: str
    leg: str
    day: float
    extension_in: float
    temperature_f: float
    fuel_lb: float
    exercised: bool
    fluid_seen: str
    fluid_level: str
    observation: str


@dataclass(frozen=True, slots=True)
class TyreRow:
    """One line of the club's tyre readings."""

    registration: str
    leg: str
    day: float
    pressure_psig: float
    temperature_f: float


@dataclass(frozen=True, slots=True)
class WorkRow:
    """One line of the club's servicings."""

    registration: str
    leg: str
    day: float
    work: str
    extension_before_in: float
    extension_after_in: float
    strokes: int


@dataclass(frozen=True, slots=True)
class ClubHistory:
    """All that the club wrote down."""

    struts: list[StrutRow]
    tyres: list[TyreRow]
    work: list[WorkRow]


def club_history() -> ClubHistory:
    """Return the whole history; the same at every call."""
    history = ClubHistory([], [], [])
    for index, aircraft in enumerate(FLEET):
        rng = np.random.default_rng([SEED, index])
        visits = _visits(rng)
        weather = air_temperature_f(visits, np.random.default_rng(SEED))
        fuel = TANK_LB[aircraft.type.name] * rng.uniform(0.3, 1.0, len(visits))
        for leg in LEGS:
            _live_strut(history, aircraft, leg, visits, weather, fuel, rng)
        for leg in LEGS:
            _live_tyre(history, aircraft, leg, visits, weather, rng)
    for rows in (history.struts, history.tyres, history.work):
        rows.sort(key=lambda row: (row.day, row.registration, row.leg))
    return history


def _visits(rng: np.random.Generator) -> FloatArray:
    days = np.cumsum(rng.gamma(4.0, 1.15, 200))
    days = np.floor(days[days < DAYS - 1]) + rng.uniform(8 / 24, 17 / 24, np.count_nonzero(days < DAYS - 1))
    return np.append(days, DAYS - 1 + rng.uniform(8 / 24, 10 / 24))


def _sheet(aircraft: ClubAircraft, leg: str) -> LegFigures:
    return aircraft.type.nose if leg == "nose" else aircraft.type.main


def _true_figures(sheet: LegFigures, rng: np.random.Generator) -> StrutFigures:
    # A real strut is never quite its sheet: gas column and fluid differ from one to the next.
    return StrutFigures(
        tube_diameter_in=sheet.tube_diameter_in,
        gas_column_in=sheet.gas_column_in * rng.lognormal(0.0, 0.15),
        fluid_volume_in3=sheet.fluid_volume_in3 * rng.lognormal(0.0, 0.12),
        full_extension_in=sheet.full_extension_in,
        reference_temperature_f=REFERENCE_TEMPERATURE_F,
        reference_load_lbf=sheet.reference_load_lbf,
    )


def _live_strut(
    history: ClubHistory,
    aircraft: ClubAircraft,
    leg: str,
    visits: FloatArray,
    weather: FloatArray,
    fuel: FloatArray,
    rng: np.random.Generator,
) -> None:
    sheet = _sheet(aircraft, leg)
    trouble = aircraft.troubles.get(leg, NO_TROUBLE)
    figures = _true_figures(sheet, rng)
    level = _level_at(visits, sheet, trouble, aircraft.registration, leg, history, rng)
    friction = trouble.friction_fraction or rng.uniform(0.015, 0.05)
    exercised = rng.random(len(visits)) < 0.7
    stuck = rng.uniform(-1.0, 1.0, len(visits)) * np.where(exercised, 0.2, 1.0) * friction
    load = (
        sheet.reference_load_lbf
        + sheet.load_per_fuel * (fuel + rng.normal(0, 8, len(fuel)) - aircraft.type.reference_fuel_lb)
        + rng.normal(0, 4, len(fuel))
    )
    read = _as_read(_stands(level, weather, load * (1 + stuck), figures), sheet, rng)
    for at in range(len(visits)):
        if not _measured(trouble, visits[at], rng):
            continue
        in_trouble = bool(trouble.rate_in_per_month) and visits[at] > trouble.from_day + 8
        history.struts.append(
            StrutRow(
                aircraft.registration,
                leg,
                float(visits[at]),
                float(read[at]),
                round(float(weather[at] + rng.normal(0, 2.5))),
                round(float(fuel[at])),
                bool(exercised[at]),
                trouble.fluid_seen if in_trouble else "",
                trouble.fluid_level if in_trouble and visits[at] > DAYS - 12 else "",
                trouble.observation if in_trouble else "",
            )
        )


def _level_at(
    visits: FloatArray,
    sheet: LegFigures,
    trouble: Trouble,
    registration: str,
    leg: str,
    history: ClubHistory,
    rng: np.random.Generator,
) -> FloatArray:
    """Return what the strut would show at the sheet's conditions, and write down its top-up if it had one."""
    start = sheet.target_extension_in + rng.normal(0.0, 0.05)
    months = visits / DAYS_PER_MONTH
    leak = trouble.rate_in_per_month * np.maximum(visits - trouble.from_day, 0.0) / DAYS_PER_MONTH
    level = start - SEEP_IN_PER_MONTH * months - leak
    topped_up_on = trouble.from_day if trouble.hidden_charge_in else rng.uniform(90.0, 300.0)
    if not trouble.hidden_charge_in and rng.random() > 0.35:
        return level
    short_by = 0.35
    late = trouble.hidden_charge_in or abs(rng.normal(0.0, 0.08))
    since = np.maximum(visits - topped_up_on, 0.0)
    settled = (1 - np.exp(-since / LATE_SETTLING_DAYS)) * late
    before = float(np.round((start - short_by) * 16) / 16)
    history.work.append(
        WorkRow(
            registration,
            leg,
            float(topped_up_on),
            "gas added",
            before,
            before + short_by,
            strokes=round((short_by + trouble.hidden_charge_in) / 0.25),
        )
    )
    return np.where(visits < topped_up_on, level - short_by, level + settled)


def _stands(level: FloatArray, temperature_f: FloatArray, load_lbf: FloatArray, figures: StrutFigures) -> FloatArray:
    at_sea_level = STANDARD_ATMOSPHERE_PSI
    charge = charge_mol(
        level, REFERENCE_TEMPERATURE_F, figures.reference_load_lbf, figures, atmosphere_psia=at_sea_level
    )
    at_home = standard_pressure_psia(FIELD_ELEVATION_FT)
    return extension_in(charge, temperature_f, load_lbf, figures, atmosphere_psia=at_home).extension_in


def _as_read(extension: FloatArray, sheet: LegFigures, rng: np.random.Generator) -> FloatArray:
    read = np.round((extension + rng.normal(0.0, 0.03, len(extension))) * 16) / 16
    slip = rng.random(len(read)) < 0.012
    wrong = read + rng.choice([-1.0, 1.0, 0.5], len(read))
    return np.clip(np.where(slip, wrong, read), 0.125, sheet.full_extension_in)


def _measured(trouble: Trouble, day: float, rng: np.random.Generator) -> bool:
    # After the top-up that settled late nobody measured that strut again for many months.
    if trouble.hidden_charge_in and trouble.from_day < day < DAYS - 75:
        return False
    return bool(rng.random() < 0.9)


def _live_tyre(
    history: ClubHistory,
    aircraft: ClubAircraft,
    leg: str,
    visits: FloatArray,
    weather: FloatArray,
    rng: np.random.Generator,
) -> None:
    service = _sheet(aircraft, leg).tyre_service_pressure_psig * 1.04
    permeation = rng.uniform(0.0002, 0.0006)
    warmth = weather if aircraft.cold_tyres else np.maximum(weather, 55.0) + rng.normal(0, 2, len(weather))
    absolute = (service * 1.02 + STANDARD_ATMOSPHERE_PSI) * np.ones(len(visits))
    filled_on = visits[0]
    for at, day in enumerate(visits):
        left = np.exp(-permeation * (day - filled_on))
        if (absolute[at] * left - STANDARD_ATMOSPHERE_PSI) < service * 0.97:
            filled_on, left = day, 1.0
            history.work.append(
                WorkRow(aircraft.registration, leg, float(day) + 0.02, "tyre inflated", np.nan, np.nan, 0)
            )
        gauge = absolute[at] * left * (warmth[at] + 459.67) / (59.0 + 459.67) - STANDARD_ATMOSPHERE_PSI
        if at % 2 == 0 or day > DAYS - 20:
            history.tyres.append(
                TyreRow(
                    aircraft.registration,
                    leg,
                    float(day),
                    round(float(gauge + rng.normal(0, 0.25)) * 2) / 2,
                    round(float(warmth[at])),
                )
            )
