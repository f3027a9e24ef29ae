"""What a draft says about work, for someone who reads it in ten years: what was done, and every figure."""

from collections.abc import Iterable
from typing import Final

from calculations.units import Quantity, UnitSystem, display, display_unit
from fleet.equipment.models import EquipmentKind
from servicing.work.models import Servicing, TopUpStep, Work

_DONE: Final = {
    Work.GAS_ADDED: "{gas} added",
    Work.GAS_RELEASED: "{gas} let out",
    Work.FLUID_ADDED: "fluid added",
    Work.FLUID_CHANGED: "fluid drained and replaced",
    Work.VALVE_CORE: "valve core replaced",
    Work.SEALS: "seals replaced",
    Work.CLEANED: "tube cleaned and strut exercised",
    Work.OVERHAULED: "strut overhauled",
    Work.TYRE_INFLATED: "tyre inflated",
    Work.TYRE_CHANGED: "tyre changed",
    Work.TYRE_TURNED: "tyre turned on its wheel",
    Work.BEARING_SEEN: "wheel bearing cleaned and greased",
}
_DECIMALS: Final = {
    "in": 2,
    "mm": 0,
    "psi": 0,
    "kPa": 0,
    "degF": 0,
    "degC": 0,
    "in3": 1,
    "mL": 0,
    "lb": 0,
    "kg": 0,
    "lbf": 0,
    "N": 0,
}
_GAS_FROM: Final = {
    EquipmentKind.HAND_PUMP: "air",
    EquipmentKind.COMPRESSOR: "air",
    EquipmentKind.CYLINDER: "nitrogen",
    EquipmentKind.MULTIPLIER: "gas",  # whatever its intake was fed with
    EquipmentKind.GAUGE: "gas",
}
_SIGNS: Final = {"degF": "°F", "degC": "°C", "in3": "cu in"}


def shown(value: float, kind: Quantity, system: UnitSystem | str) -> str:
    """Return a quantity as a record has it.

    >>> shown(3.25, Quantity.LENGTH, "us"), shown(3.25, Quantity.LENGTH, "metric")
    ('3.25 in', '83 mm')
    """
    measured = display(value, kind, system)
    unit = display_unit(kind, system).symbol
    return f"{measured.value:.{_DECIMALS.get(unit, 2)}f} {_SIGNS.get(unit, unit)}"


def part_of(servicing: Servicing) -> str:
    """Return what was worked on, with its serial number."""
    part = servicing.strut or servicing.tyre
    name = "strut" if servicing.strut else "tyre"
    serial = f", serial number {part.serial_number}" if part and part.serial_number else ""
    return f"{servicing.leg.position} {name}{serial}"


def sentence(servicing: Servicing, system: UnitSystem | str) -> str:
    """Return one sentence on one servicing, with every figure that was written down."""
    done = _DONE[Work(servicing.work)].format(gas=_gas_of(servicing))
    if servicing.equipment:
        done += f" with {servicing.equipment.name}"
    parts = [done, *_found_and_left(servicing, system)]
    if servicing.fluid_added_in3 is not None:
        fluid = servicing.leg.sheet.fluid or "fluid"
        parts.append(f"{fluid}: {shown(servicing.fluid_added_in3, Quantity.VOLUME, system)}")
    if servicing.temperature_f is not None:
        parts.append(f"at {shown(servicing.temperature_f, Quantity.TEMPERATURE, system)}")
    text = f"{part_of(servicing)}: {', '.join(parts)}."
    return text[0].upper() + text[1:]


def _gas_of(servicing: Servicing) -> str:
    """Return what the equipment gives; no sheet says what really went in."""
    if servicing.equipment is None:
        return "gas"
    return _GAS_FROM[EquipmentKind(servicing.equipment.kind)]


def weight_words(steps: Iterable[TopUpStep], system: UnitSystem | str) -> str:
    """Return what stood on the leg when the last length was read: a length without its load says little."""
    last = max(steps, key=lambda step: (step.at, step.sequence), default=None)
    if last is None:
        return ""
    load = shown(last.load_lbf, Quantity.FORCE, system)
    fuel = f", {shown(last.fuel_lb, Quantity.MASS, system)} of fuel aboard" if last.fuel_lb is not None else ""
    how = "not exercised" if last.exercised == "not" else f"exercised ({last.exercised})"
    return f"Last length read with {load} on the leg{fuel}, strut {how}."


def _found_and_left(servicing: Servicing, system: UnitSystem | str) -> list[str]:
    pairs = (
        ("exposed tube", Quantity.LENGTH, servicing.extension_before_in, servicing.extension_after_in),
        ("pressure", Quantity.GAUGE_PRESSURE, servicing.pressure_before_psig, servicing.pressure_after_psig),
    )
    words = []
    for name, kind, found, left in pairs:
        figures = ((found, "found"), (left, "left"))
        said = [f"{shown(value, kind, system)} {what}" for value, what in figures if value is not None]
        if said:
            words.append(f"{name} {', '.join(said)}")
    return words
