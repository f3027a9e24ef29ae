"""How long a nitrogen cylinder lasts: by its pressure log, the struts that it serves and past top-ups."""

import math
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Final

import numpy as np

from calculations.supply.cylinder import Cylinder, Outlook, content_mol, outlook
from calculations.supply.demand import RestingStrut, gas_for_rise_mol
from fleet.aircraft.models import Leg
from fleet.equipment.actions import equipment_of
from fleet.equipment.models import CylinderPressure, Equipment, EquipmentKind
from fleet.equipment.queries import pressures_of
from fleet.operators.models import Operator
from fleet.refusals import Refused
from servicing.readings.figures import Array, SheetFigures, sheet_figures
from servicing.readings.known_fleet import load_known_fleet
from servicing.work.models import Servicing, Work

USUAL_RISE_IN: Final = 1.5  # of a top-up, where too few were logged; ASSUMED
ENOUGH_TOP_UPS: Final = 3
COUNTED_DAYS: Final = 365
# A cylinder first used yesterday has not shown its rate yet; ASSUMED
COUNTED_DAYS_AT_LEAST: Final = 30
FURTHEST_DAYS: Final = 3650  # a day further off would say more than a log can
UNKNOWN_TEMPERATURE_F: Final = 70.0
REFILLED_SHARE: Final = 1.1  # of the content before; less than that, gauge and thermometer may be out by; ASSUMED
STRUT_FIGURES: Final = ("reference_load", "tube_diameter")  # of the sheet, that the gas for a top-up rests on


@dataclass(frozen=True, slots=True)
class CylinderOutlook:
    """A cylinder's content and how long it lasts.

    Parameters
    ----------
    reading
        The pressure that it rests on.
    result
        Top-ups and days left, from now.
    strut_psig
        Highest pressure among the struts served [psi gauge].
    rise_per_top_up_in
        Length that a usual top-up gives [in].
    top_ups_counted, counted_days
        What the rate of use rests on.
    top_ups_since
        Of those, the ones done after the pressure was read.
    change_by
        The day by which it will be empty at that rate, or as its pressure has fallen since it was filled: gas goes to
        tyres too, and leaks. The sooner of the two; None where nothing was used, or that is beyond ten years.
    estimated
        Names of figures that were assumed.
    """

    reading: CylinderPressure
    result: Outlook
    strut_psig: float
    rise_per_top_up_in: float
    top_ups_counted: int
    counted_days: int
    top_ups_since: int
    change_by: date | None
    estimated: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _TopUp:
    """A top-up done with the cylinder."""

    done_at: datetime
    rise_in: float | None


@dataclass(frozen=True, slots=True)
class _Served:
    """Every strut of the fleet at rest, the air pressure at each [psi absolute], and what is estimated of them."""

    struts: RestingStrut
    atmosphere_psia: Array
    estimated: tuple[str, ...]


def cylinder_outlook(operator: Operator, equipment_id: uuid.UUID, *, now: datetime) -> CylinderOutlook:
    """Return how long a cylinder lasts, or refuse where its pressure was never logged."""
    cylinder = equipment_of(operator.id, equipment_id)
    if cylinder.kind != EquipmentKind.CYLINDER:
        raise Refused("only a cylinder runs empty", code="not_a_cylinder")
    logged = list(pressures_of(operator, cylinder.id))
    if not logged:
        raise Refused("log the cylinder's pressure first", code="no_pressure_logged")
    reading, oldest = logged[0], logged[-1]
    served = _struts_served(operator)
    top_ups = _top_ups_with(operator, cylinder.id, now)
    days_counted = _days_counted([oldest.taken_at, *(one.done_at for one in top_ups)], now)
    rises = [one.rise_in for one in top_ups if one.rise_in is not None and one.rise_in > 0]
    rise = float(np.median(rises)) if len(rises) >= ENOUGH_TOP_UPS else USUAL_RISE_IN
    since = sum(one.done_at > reading.taken_at for one in top_ups)
    counted_from = now - timedelta(days=COUNTED_DAYS)
    fallen_per_day = _fallen_mol_per_day(
        [(one.taken_at, _as_read(cylinder, one)) for one in logged if one.taken_at >= counted_from]
    )
    pressures_psia = np.asarray(served.struts.pressure_psia, float)
    highest = int(pressures_psia.argmax())
    atmosphere = float(served.atmosphere_psia[highest])
    strut_psia = float(pressures_psia[highest])
    result = outlook(
        _as_read(cylinder, reading),
        # The strut that asks for the highest pressure need not be the one that takes the most gas.
        gas_per_top_up_mol=np.max(gas_for_rise_mol(rise, served.struts)),
        strut_psia=strut_psia,
        hose_in3=cylinder.hose_volume_in3 or 0.0,
        top_ups_since=since,
        top_ups_per_day=len(top_ups) / days_counted,
        atmosphere_psia=atmosphere,
    )
    days_by_log = float(result.usable_mol) / fallen_per_day if fallen_per_day else math.inf
    if not since:  # else what was used since the reading is taken off already
        days_by_log -= (now - reading.taken_at).total_seconds() / 86400.0
    days = max(min(float(result.days_left), days_by_log), 0.0)
    facts = {
        "temperature": reading.temperature_f is not None,
        "hose_volume": cylinder.hose_volume_in3 is not None,
        "rise_per_top_up": len(rises) >= ENOUGH_TOP_UPS,
    }
    return CylinderOutlook(
        reading=reading,
        result=result,
        strut_psig=strut_psia - atmosphere,
        rise_per_top_up_in=rise,
        top_ups_counted=len(top_ups),
        counted_days=days_counted,
        top_ups_since=since,
        change_by=now.date() + timedelta(days=days) if days <= FURTHEST_DAYS else None,
        estimated=(*served.estimated, *(name for name, known in facts.items() if not known)),
    )


def _struts_served(operator: Operator) -> _Served:
    """Return what every strut of the fleet in service asks for."""
    leg_ids = Leg.objects.of(operator).filter(aircraft__retired_at__isnull=True).values_list("pk", flat=True)
    legs = list(load_known_fleet(operator.id, leg_ids=list(leg_ids), with_equipment=False).legs.values())
    if not legs:
        raise Refused("there is no strut to fill yet: add aircraft and legs first", code="no_struts")
    figures: SheetFigures = sheet_figures(legs)
    area = np.pi / 4 * figures.tube_diameter_in**2
    pressure = figures.atmosphere_psia + figures.reference_load_lbf / area
    estimated = {name for of_leg in figures.estimated for name in of_leg}
    return _Served(
        RestingStrut(pressure, area, UNKNOWN_TEMPERATURE_F),
        figures.atmosphere_psia,
        tuple(name for name in STRUT_FIGURES if name in estimated),
    )


def _top_ups_with(operator: Operator, equipment_id: uuid.UUID, now: datetime) -> list[_TopUp]:
    """Return the top-ups that were done with a cylinder in the time counted."""
    rows = Servicing.objects.of(operator).filter(
        equipment_id=equipment_id,
        work=Work.GAS_ADDED,
        superseded=False,
        withdrawn=False,
        done_at__gte=now - timedelta(days=COUNTED_DAYS),
    )
    lengths = rows.values_list("done_at", "extension_before_in", "extension_after_in")
    return [
        _TopUp(done_at, None if before is None or after is None else after - before)
        for done_at, before, after in lengths
    ]


def _as_read(cylinder: Equipment, reading: CylinderPressure) -> Cylinder:
    temperature_f = UNKNOWN_TEMPERATURE_F if reading.temperature_f is None else reading.temperature_f
    return Cylinder(cylinder.water_volume_in3 or 0.0, reading.pressure_psig, temperature_f)


def _fallen_mol_per_day(newest_first: Iterable[tuple[datetime, Cylinder]]) -> float:
    """Return how fast the content of a cylinder has fallen since it was last filled."""
    contents = [(taken_at, float(content_mol(cylinder))) for taken_at, cylinder in newest_first]
    if not contents:
        return 0.0
    filled = contents[0]
    for newer, older in pairwise(contents):
        if newer[1] > REFILLED_SHARE * older[1]:
            break
        filled = older
    read_at, left = contents[0]
    days = max((read_at - filled[0]).total_seconds() / 86400.0, COUNTED_DAYS_AT_LEAST)
    return max(filled[1] - left, 0.0) / days


def _days_counted(known_from: Sequence[datetime], now: datetime) -> int:
    """Return over how many days use was counted: not those before the cylinder was there."""
    return int(np.clip((now - min(known_from)).days, COUNTED_DAYS_AT_LEAST, COUNTED_DAYS))
