"""The columns of files of readings."""

from calculations.units import Quantity
from fleet.aircraft.models import Position
from servicing.exchange.columns import Column, choice, choices, moment, row_id, text, yes_or_no
from servicing.readings.models import FluidLevel, FluidSeen, Observation

AIRCRAFT = Column("aircraft", text(40), required=True)
LEG = Column("leg", choice(*Position.values), required=True)

STRUT_COLUMNS = (
    AIRCRAFT,
    LEG,
    Column("taken_at", moment, required=True),
    Column("extension", quantity=Quantity.LENGTH, required=True),
    Column("temperature", quantity=Quantity.TEMPERATURE),
    Column("fuel", quantity=Quantity.MASS),
    Column("exercised", yes_or_no),
    Column("pressure", quantity=Quantity.GAUGE_PRESSURE),
    Column("fluid_seen", choice(*FluidSeen.values)),
    Column("fluid_level", choice(*FluidLevel.values)),
    Column("observations", choices(*Observation.values)),
    Column("occupants", quantity=Quantity.MASS),
    Column("leg_load", quantity=Quantity.FORCE),
    Column("gauge", text(80)),
    Column("taken_by", text(120)),
    Column("note", text(500)),
    Column("id", row_id),
    Column("corrected_extension", quantity=Quantity.LENGTH, derived=True),
    Column("uncertainty", quantity=Quantity.LENGTH, derived=True),
    Column("load", quantity=Quantity.FORCE, derived=True),
    Column("strut_id", derived=True),
)
TYRE_COLUMNS = (
    AIRCRAFT,
    LEG,
    Column("taken_at", moment, required=True),
    Column("pressure", quantity=Quantity.GAUGE_PRESSURE),
    Column("temperature", quantity=Quantity.TEMPERATURE),
    Column("tread", quantity=Quantity.LENGTH),
    Column("hot", yes_or_no),
    Column("loaded", yes_or_no),
    Column("gauge", text(80)),
    Column("taken_by", text(120)),
    Column("note", text(500)),
    Column("id", row_id),
    Column("corrected_pressure", quantity=Quantity.GAUGE_PRESSURE, derived=True),
    Column("uncertainty", quantity=Quantity.PRESSURE_DIFFERENCE, derived=True),
    Column("tyre_id", derived=True),
)
