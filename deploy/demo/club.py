"""Who and what the invented club is. Every name, figure and registration is made up."""

from dataclasses import dataclass, field

CLUB_NAME = "Tollmere Flying Club"
COORDINATOR = ("Duty coordinator", "coordinator@tollmere.example")
DAYS = 548


@dataclass(frozen=True, slots=True)
class LegFigures:
    """One leg's figures on an invented type's sheet, in the sheet's own units."""

    tube_diameter_in: float
    gas_column_in: float
    fluid_volume_in3: float
    full_extension_in: float
    target_extension_in: float
    low_limit_in: float
    high_limit_in: float
    reference_load_lbf: float
    load_per_fuel: float
    load_per_occupant: float
    tyre_size: str
    tyre_service_pressure_psig: float


@dataclass(frozen=True, slots=True)
class AircraftType:
    """An invented aircraft type."""

    name: str
    manual: str
    revision: str
    reference_fuel_lb: float
    nose: LegFigures
    main: LegFigures


QUILLET = AircraftType(
    name="Quillet 2",
    manual="Quillet 2 maintenance manual 12-11",
    revision="C",
    reference_fuel_lb=110.0,
    nose=LegFigures(1.75, 1.5, 12.0, 6.5, 3.25, 2.75, 3.75, 430.0, 0.15, 0.22, "5.00-5", 26.0),
    main=LegFigures(2.00, 2.0, 20.0, 7.5, 4.00, 3.50, 4.50, 560.0, 0.42, 0.39, "6.00-6", 24.0),
)
DUNLARK = AircraftType(
    name="Dunlark 4",
    manual="Dunlark 4 service handbook, chapter 12",
    revision="4",
    reference_fuel_lb=216.0,
    nose=LegFigures(2.00, 2.0, 20.0, 7.5, 3.25, 2.75, 3.75, 560.0, 0.16, 0.24, "6.00-6", 29.0),
    main=LegFigures(2.375, 2.0, 40.0, 9.0, 4.50, 4.00, 5.00, 800.0, 0.41, 0.38, "6.00-6", 36.0),
)


@dataclass(frozen=True, slots=True)
class Trouble:
    """Something that goes wrong on one strut, by day of the history."""

    from_day: float
    rate_in_per_month: float = 0.0
    fluid_seen: str = ""
    fluid_level: str = ""
    observation: str = ""
    friction_fraction: float = 0.0
    hidden_charge_in: float = 0.0


@dataclass(frozen=True, slots=True)
class ClubAircraft:
    """One aircraft and the troubles planted on its legs."""

    registration: str
    type: AircraftType
    troubles: dict[str, Trouble] = field(default_factory=dict)
    cold_tyres: bool = False


FLEET = (
    ClubAircraft("QT-ALD", QUILLET),
    ClubAircraft("QT-BEK", QUILLET, cold_tyres=True),
    ClubAircraft("QT-CIR", QUILLET, {"left main": Trouble(from_day=470, rate_in_per_month=0.14, fluid_seen="dry")}),
    ClubAircraft("QT-DOV", QUILLET),
    ClubAircraft("QT-EPH", QUILLET, {"right main": Trouble(from_day=0, friction_fraction=0.13)}),
    ClubAircraft("QT-FUM", QUILLET),
    ClubAircraft("QT-GAN", DUNLARK, {"nose": Trouble(from_day=150, hidden_charge_in=1.15)}),
    ClubAircraft("QT-HES", DUNLARK),
    ClubAircraft(
        "QT-JOB",
        DUNLARK,
        {"right main": Trouble(from_day=488, rate_in_per_month=0.22, fluid_seen="wet", fluid_level="low")},
    ),
    ClubAircraft("QT-KIP", DUNLARK, cold_tyres=True),
    ClubAircraft(
        "QT-LUN", DUNLARK, {"nose": Trouble(from_day=514, rate_in_per_month=0.60, observation="valve bubbles")}
    ),
    ClubAircraft("QT-MOR", DUNLARK),
)
