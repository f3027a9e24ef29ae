"""What a piece of equipment can do for the strut on a leg: reach its pressure, lengthen it, lose gas in its hose."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from calculations.gas import Gas
from calculations.supply.demand import (
    RestingStrut,
    compressor_highest_psia,
    gas_for_rise_mol,
    reach,
    rise_of_gas_in,
)
from calculations.supply.hand_pump import HandPump, Intake, highest_pressure_psia, rise_per_stroke_in
from calculations.supply.hose import extension_lost_in
from calculations.supply.multiplier import Multiplier, gas_per_cycle_mol, stall_pressure_psia
from fleet.equipment.models import Equipment, EquipmentKind
from servicing.readings.figures import SheetFigures

USUAL_CLEARANCE: Final = 0.0475  # of three-stage hand pumps with no figure of their own; ASSUMED
USUAL_STAGES: Final = 3  # one stage would ask for some 300 lbf on a 1.5 in piston; ASSUMED
QUICK_PUMPING: Final = 1.3  # polytropic exponent; ASSUMED


@dataclass(frozen=True, slots=True)
class SupplyView:
    """What equipment means for one resting strut.

    Parameters
    ----------
    reachable
        Whether its highest pressure exceeds what the strut's load asks for; None where nothing is known of it.
    highest_psig, needed_psig
        Its highest pressure, None where only a person's arm limits it, and the strut's [psi gauge].
    rise_per_unit_in
        Rise that physics expects of one stroke or cycle [in]; None where no figure tells.
    hose_loss_in
        Length lost each time its hose is connected empty [in]; None where the hose's volume is unknown.
    estimated
        Names of figures that were assumed.
    """

    reachable: bool | None
    highest_psig: float | None
    needed_psig: float
    rise_per_unit_in: float | None
    hose_loss_in: float | None
    estimated: tuple[str, ...]


def resting_strut(figures: SheetFigures, load_lbf: float, temperature_f: float) -> RestingStrut:
    """Return the strut on the one leg of ``figures`` as a supply sees it."""
    area = float(np.pi / 4 * figures.tube_diameter_in[0] ** 2)
    atmosphere = float(figures.atmosphere_psia[0])
    gas = Gas.AIR if figures.dry_air[0] else Gas.NITROGEN
    return RestingStrut(atmosphere + load_lbf / area, area, temperature_f, gas)


def strut_of_sheet(figures: SheetFigures) -> RestingStrut:
    """Return the strut on the one leg of ``figures`` under the load and at the temperature of its sheet."""
    return resting_strut(figures, float(figures.reference_load_lbf[0]), float(figures.reference_temperature_f[0]))


def same_gas_in(change_in: float, strut: RestingStrut, other: RestingStrut) -> float:
    """Return how far the gas that changes the length of one resting strut changes that of another [in]."""
    return float(rise_of_gas_in(gas_for_rise_mol(change_in, strut), other))


def supply_view(
    equipment: Equipment, strut: RestingStrut, *, atmosphere_psia: float, cylinder_psig: float | None = None
) -> SupplyView:
    """Return what equipment can do for a strut; a cylinder by the pressure that was last logged."""
    highest, estimated = _highest_psia(equipment, atmosphere_psia, cylinder_psig)
    endless = highest is not None and bool(np.isinf(highest))
    needed = float(np.asarray(strut.pressure_psia))
    hose = equipment.hose_volume_in3
    rise, assumed = _rise_per_unit_in(equipment, strut, atmosphere_psia)
    return SupplyView(
        reachable=None if highest is None else endless or bool(reach(highest, strut).reachable),
        highest_psig=None if highest is None or endless else highest - atmosphere_psia,
        needed_psig=needed - atmosphere_psia,
        rise_per_unit_in=rise,
        hose_loss_in=None if hose is None else float(extension_lost_in(hose, strut, atmosphere_psia)),
        estimated=tuple(dict.fromkeys((*estimated, *assumed))),
    )


def _highest_psia(
    equipment: Equipment, atmosphere_psia: float, cylinder_psig: float | None
) -> tuple[float | None, tuple[str, ...]]:
    match EquipmentKind(equipment.kind):
        case EquipmentKind.HAND_PUMP:
            if equipment.stroke_volume_in3 is None:
                return None, ()
            pump, estimated = hand_pump(equipment)
            return float(highest_pressure_psia(pump, atmosphere_psia)), estimated
        case EquipmentKind.MULTIPLIER:
            return float(stall_pressure_psia(_multiplier(equipment), atmosphere_psia)), ()
        case EquipmentKind.COMPRESSOR:
            return float(compressor_highest_psia(equipment.drive_pressure_psig or 0.0, atmosphere_psia)), ()
        case EquipmentKind.CYLINDER if cylinder_psig is not None:
            return float(compressor_highest_psia(cylinder_psig, atmosphere_psia)), ()
    return None, ()


def _rise_per_unit_in(
    equipment: Equipment, strut: RestingStrut, atmosphere_psia: float
) -> tuple[float | None, tuple[str, ...]]:
    if equipment.stroke_volume_in3 is None:
        return None, ()
    if equipment.kind == EquipmentKind.HAND_PUMP:
        pump, estimated = hand_pump(equipment)
        # Air and strut are taken to be equally warm: nobody notes the air that a pump draws in.
        intake = Intake(atmosphere_psia, strut.temperature_f, Gas.AIR)
        return float(rise_per_stroke_in(pump, intake, strut)), estimated
    if equipment.kind == EquipmentKind.MULTIPLIER:
        gas = gas_per_cycle_mol(_multiplier(equipment), atmosphere_psia)
        return float(rise_of_gas_in(gas, strut)), ("intake_pressure",)
    return None, ()


def hand_pump(equipment: Equipment) -> tuple[HandPump, tuple[str, ...]]:
    """Return a pump with the stroke volume of the equipment, and the names of what was assumed."""
    estimated = [
        name
        for name, value in (("clearance_fraction", equipment.clearance_fraction), ("stages", equipment.stages))
        if value is None
    ]
    bore_of_one_square_inch = float(np.sqrt(4 / np.pi))
    pump = HandPump(
        bore_in=bore_of_one_square_inch,
        stroke_in=equipment.stroke_volume_in3 or 0.0,
        clearance_share=USUAL_CLEARANCE if equipment.clearance_fraction is None else equipment.clearance_fraction,
        stages=equipment.stages or USUAL_STAGES,
        exponent=QUICK_PUMPING,
    )
    return pump, tuple(estimated)


def _multiplier(equipment: Equipment) -> Multiplier:
    drive = equipment.drive_pressure_psig or 0.0
    return Multiplier(
        area_ratio=equipment.area_ratio or 1.0,
        drive_psig=drive,
        intake_in3=equipment.stroke_volume_in3 or 1.0,
        intake_psig=drive,  # fed with the same air unless someone says otherwise
    )
