"""What goes with the answer to a tyre reading: band, action, cautions, assumptions."""

from __future__ import annotations

from typing import Any

import numpy as np

from calculations.cautions import Step, cautions_for
from calculations.tyre import LOADED_OVER_UNLOADED
from calculations.tyre_bands import Band, action_for, cold_pressure_band
from calculations.units import Quantity, display
from fleet.web.quantities import quantity
from servicing.readings.models import TyreReading
from servicing.readings.tyre_correction import REFERENCE_TEMPERATURE_F

_SHEET_FIGURES = ("tyre_size", "tyre_service_pressure_psig", "tyre_wear_limit_in", "reference_temperature_f")


def tyre_advice(reading: TyreReading, unit_system: str) -> dict[str, Any]:
    """Return judgement, cautions, assumptions and basis of a stored reading."""
    sheet = reading.leg.sheet
    service = sheet.tyre_service_pressure_psig
    band, looks = _bands(reading, service)
    limit = sheet.tyre_wear_limit_in
    worn = None if reading.tread_in is None or limit is None else reading.tread_in <= limit
    steps = [Step.TYRE_CHECK]
    if band is not None and band not in (Band.NORMAL, Band.ABOVE):
        steps.append(Step.TYRE_INFLATION if band in (Band.REINFLATE, Band.INSPECT) else Step.TYRE_REMOVAL)
    if worn:
        steps.append(Step.TYRE_REMOVAL)
    guessed = reading.pressure_psig is not None and reading.temperature_f is None
    share = None if reading.corrected_psig is None or not service else round(reading.corrected_psig / service, 4)
    return {
        "judgement": {
            "band": _words(band),
            "looks": _words(looks),
            "service_pressure": quantity(service, "gauge_pressure", unit_system),
            "share_of_service_pressure": share,
            "worn": worn,
            "text": _text(reading, band, looks, worn),
        },
        "cautions": [caution.text for caution in cautions_for(steps)],
        "assumptions": _assumptions(reading, unit_system),
        "basis": {
            "type_sheet": [name.removesuffix("_psig").removesuffix("_in").removesuffix("_f")
                           for name in _SHEET_FIGURES if getattr(sheet, name) not in (None, "")],
            "estimated": ["temperature"] if guessed else [],
            "manual": sheet.manual_reference,
            "sheet_version": reading.corrected_sheet_version,
        },
    }  # fmt: skip


def _bands(reading: TyreReading, service_psig: float | None) -> tuple[Band | None, Band | None]:
    if reading.pressure_psig is None or reading.corrected_psig is None or not service_psig:
        return None, None
    shown = reading.pressure_psig / (LOADED_OVER_UNLOADED if reading.loaded else 1.0)
    flat = reading.pressure_psig == 0
    corrected = 0.0 if flat else max(reading.corrected_psig, 0.01)
    bands = cold_pressure_band(np.array([corrected, shown]), service_psig)
    return Band(int(bands[0])), Band(int(bands[1]))


def _words(band: Band | None) -> str | None:
    return None if band is None else band.name.lower().replace("_", " ")


def _text(reading: TyreReading, band: Band | None, looks: Band | None, worn: bool | None) -> str:
    said = []
    if band is None:
        if reading.pressure_psig is not None:
            said.append("The sheet has no service pressure: compare with the aircraft's own manual.")
    elif reading.hot:
        said.append("A hot tyre reads high: judge and set it cold, two hours after rolling.")
    else:
        said.append(f"By the published table: {action_for(band, reading.leg.sheet.wheels_per_axle)}.")
        if looks is not None and looks < band:
            said.append("It only looks lower because it is cold or off its reference temperature.")
    if worn:
        said.append("The tread is at its wear limit: the tyre is due to be changed.")
    return " ".join(said) or "Noted."


def _assumptions(reading: TyreReading, unit_system: str) -> list[str]:
    if reading.pressure_psig is None:
        return []
    reference = reading.leg.sheet.reference_temperature_f or REFERENCE_TEMPERATURE_F
    shown = display(reference, Quantity.TEMPERATURE, unit_system)
    said = [
        f"Service pressure is stated cold, at {shown.value:.0f} {shown.unit}, with the wheel off the ground.",
        "Tyre at the temperature of the air.",
    ]
    if reading.loaded:
        said.append("A wheel that carries the aircraft shows 4 % more.")
    if reading.temperature_f is None:
        said.append("Temperature was not noted: taken as the reference temperature, with a wide uncertainty.")
    return said
