"""What a simulated fleet is like: struts, climate, people, faults. Every figure can be made worse."""

from dataclasses import dataclass, field


@dataclass(frozen=True)
class StrutType:
    """Type-sheet figures of a leg (invented, of the size usual on light aircraft)."""

    name: str
    tube_diameter_in: float
    gas_column_in: float
    fluid_in3: float
    target_in: float
    full_extension_in: float
    reference_load_lbf: float
    load_per_fuel: float
    """Pounds on this leg per pound of fuel."""


MAIN = StrutType("main", 2.375, 2.0, 40.0, 4.5, 8.5, 800.0, 0.41)
NOSE = StrutType("nose", 2.0, 2.0, 20.0, 3.25, 7.0, 565.0, 0.17)


@dataclass(frozen=True)
class Climate:
    """Air temperature where the aircraft stand [degF]."""

    mean_f: float = 54.0
    season_f: float = 20.0
    weather_sd_f: float = 8.0
    day_swing_f: float = 9.0


@dataclass(frozen=True)
class Scenario:
    """Everything that a fleet is drawn from; the defaults are the base case of the study."""

    strut_type: StrutType = MAIN
    climate: Climate = field(default_factory=Climate)
    struts: int = 400
    months: float = 24.0
    readings_per_month: tuple[float, float] = (2.0, 10.0)
    leak_in_per_month: float = 0.0
    onset_day: tuple[float, float] = (150.0, 270.0)
    seep_in_per_month: tuple[float, float] = (0.0, 0.008)
    gas_column_factor: float = 1.4
    fluid_factor: float = 1.3
    sticky_share: float = 0.10
    rocking_share: tuple[float, float] = (0.85, 0.30)
    friction_left_by_rocking: float = 0.2
    friction_persistence: float = 0.0
    """Chance that a strut has not moved since its last reading and rests on the same side of its band."""
    rulers_in: tuple[float, ...] = (1 / 16, 1 / 8)
    reader_sd_in: float = 0.04
    temperature_error_f: float = 4.0
    fuel_error_lb: float = 15.0
    other_load_sd_lbf: float = 4.0
    full_fuel_lb: float = 288.0
    blunder_share: float = 0.02
    routine_services_per_year: float = 0.7
    low_reading_in: float = 0.75
    low_reading_answered: float = 0.35
    late_settling_share: float = 0.5
    unrecorded_share: float = 0.0
    gap_share: float = 0.0
    """Share of struts that stand unread for four months somewhere in the history."""


ALL_BAD = {
    "temperature_error_f": 8.0,
    "fuel_error_lb": 40.0,
    "blunder_share": 0.05,
    "sticky_share": 0.30,
    "seep_in_per_month": (0.0, 0.02),
    "friction_persistence": 0.6,
    "routine_services_per_year": 3.0,
    "reader_sd_in": 0.10,
}
"""Every noise figure of the study's robustness table at its worst, together."""
