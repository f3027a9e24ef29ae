"""How long a nitrogen cylinder lasts: by its pressure log, the struts that it serves and past top-ups."""

import uuid
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

import numpy as np

from calculations.supply.cylinder import Cylinder, Outlook, outlook
from calculations.supply.demand import RestingStrut, gas_for_rise_mol
from fleet.aircraft.models import Leg
from fleet.equipment.actions import equipment_of
from fleet.equipment.models import CylinderPressure, EquipmentKind
from fleet.equipment.queries import pressures_of
from fleet.operators.models import Operator
from fleet.refusals import Refused
from servicing.readings.figures import SheetFigures, sheet_figures
from servicing.readings.known_fleet import load_known_fleet
from servicing.work.models import Servicing, Work

USUAL_RISE_IN: Final = 1.5  # of a top-up, where too few were logged; ASSUMED
ENOUGH_TOP_UPS: Final = 3
COUNTED_DAYS: Final = 365
UNKNOWN_TEMPERATURE_F: Final = 70.0


@dataclass(frozen=True, slots=True)
class CylinderOutlook:
    """A cylinder's content and how long it lasts.

    Parameters
    ----------
    reading
        The pressure that it rests on.
    result
        Top-ups and days left.
    strut_psig
        Highest pressure among the struts served [psi gauge].
    rise_per_top_up_in
        Length that a usual top-up gives [in].
    top_ups_counted, counted_days
        What the rate of use rests on.
    change_by
        The day by which it will be empty at that rate; None where nothing was used.
    estimated
        Names of figures that were assumed.
    """

    reading: CylinderPressure
    result: Outlook
    strut_psig: float
    rise_per_top_up_in: float
    top_ups_counted: int
    counted_days: int
    change_by: date | None
    estimated: tuple[str, ...]


def cylinder_outlook(operator: Operator, equipment_id: uuid.UUID, *, now: datetime) -> CylinderOutlook:
    """Return how long a cylinder lasts, or refuse where its pressure was never logged."""
    cylinder = equipment_of(operator.id, equipment_id)
    if cylinder.kind != EquipmentKind.CYLINDER:
        raise Refused("only a cylinder runs empty", code="not_a_cylinder")
    reading = pressures_of(operator, cylinder.id).first()
    if reading is None:
        raise Refused("log the cylinder's pressure first", code="no_pressure_logged")
    strut, atmosphere = _hardest_strut(operator)
    used, rises = _top_ups_with(operator, cylinder.id, now)
    rise = float(np.median(rises)) if len(rises) >= ENOUGH_TOP_UPS else USUAL_RISE_IN
    temperature = UNKNOWN_TEMPERATURE_F if reading.temperature_f is None else reading.temperature_f
    result = outlook(
        Cylinder(cylinder.water_volume_in3 or 0.0, reading.pressure_psig, temperature),
        gas_per_top_up_mol=gas_for_rise_mol(rise, strut),
        strut_psia=strut.pressure_psia,
        hose_in3=cylinder.hose_volume_in3 or 0.0,
        top_ups_per_day=used / COUNTED_DAYS,
        atmosphere_psia=atmosphere,
    )
    days = float(result.days_left)
    facts = {
        "temperature": reading.temperature_f is not None,
        "hose_volume": cylinder.hose_volume_in3 is not None,
        "rise_per_top_up": len(rises) >= ENOUGH_TOP_UPS,
    }
    return CylinderOutlook(
        reading=reading,
        result=result,
        strut_psig=float(np.asarray(strut.pressure_psia)) - atmosphere,
        rise_per_top_up_in=rise,
        top_ups_counted=used,
        counted_days=COUNTED_DAYS,
        change_by=reading.taken_at.date() + timedelta(days=min(days, 36_500)) if np.isfinite(days) else None,
        estimated=tuple(name for name, known in facts.items() if not known),
    )


def _hardest_strut(operator: Operator) -> tuple[RestingStrut, float]:
    """Return the strut of the fleet that asks for the highest pressure, and the air pressure there."""
    leg_ids = Leg.objects.of(operator).filter(aircraft__retired_at__isnull=True).values_list("pk", flat=True)
    legs = list(load_known_fleet(operator.id, leg_ids=list(leg_ids), with_equipment=False).legs.values())
    if not legs:
        raise Refused("there is no strut to fill yet: add aircraft and legs first", code="no_struts")
    figures: SheetFigures = sheet_figures(legs)
    area = np.pi / 4 * figures.tube_diameter_in**2
    pressure = figures.atmosphere_psia + figures.reference_load_lbf / area
    hardest = int(np.argmax(pressure))
    strut = RestingStrut(float(pressure[hardest]), float(area[hardest]), UNKNOWN_TEMPERATURE_F)
    return strut, float(figures.atmosphere_psia[hardest])


def _top_ups_with(operator: Operator, equipment_id: uuid.UUID, now: datetime) -> tuple[int, list[float]]:
    """Return how many top-ups were done with a cylinder in the time counted, and the rises that were noted [in]."""
    rows = Servicing.objects.of(operator).filter(
        equipment_id=equipment_id,
        work=Work.GAS_ADDED,
        superseded=False,
        withdrawn=False,
        done_at__gte=now - timedelta(days=COUNTED_DAYS),
    )
    lengths = list(rows.values_list("extension_before_in", "extension_after_in"))
    known = [after - before for before, after in lengths if before is not None and after is not None]
    return len(lengths), [rise for rise in known if rise > 0]
