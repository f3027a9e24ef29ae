"""The plan of a top-up, made anew from its rows whenever it is asked for: nothing of it is stored or lost."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

import numpy as np

from calculations.dosing import Calibration, Goal, prior_calibration
from calculations.gas import Gas
from calculations.strut import StrutFigures
from calculations.strut_service import friction_band, servicing_table
from calculations.supply.demand import RestingStrut
from fleet.equipment.models import Equipment, EquipmentKind
from fleet.equipment.queries import pressures_of
from servicing.readings.figures import SheetFigures, sheet_figures
from servicing.readings.known_fleet import KnownLeg
from servicing.work.deciding import GONE, Decision, Next, Situation, decide
from servicing.work.learning import (
    believed,
    hose_given_back,
    is_of,
    last_falls_short,
    learned,
    past_doses,
    without_hose,
)
from servicing.work.models import Counted, TopUp, TopUpStep
from servicing.work.refilled import filled_lately
from servicing.work.segments import progress_of
from servicing.work.supplies import SupplyView, resting_strut, same_gas_in, strut_of_sheet, supply_view
from servicing.work.top_up_checks import COUNTED_BY_KIND, known_leg

FRICTION_SHARE: Final = 0.10  # of the load, that a sticky but free strut may hold; ASSUMED
RISE_PER_SECOND_IN: Final = 0.25  # of an open regulator; ASSUMED, hence the wide spread
DROP_PER_SECOND_IN: Final = 0.50  # of a valve just cracked; ASSUMED
SPREAD_PER_SECOND: Final = 1.0


@dataclass(frozen=True, slots=True)
class RulerLengths:
    """What the ruler would show now for lengths at the sheet's conditions [in]."""

    target_in: float
    low_limit_in: float
    high_limit_in: float
    expected_in: float | None
    expected_low_in: float | None
    expected_high_in: float | None


@dataclass(frozen=True, slots=True)
class TopUpPlan:
    """Everything that the person with the pump needs to know now."""

    top_up: TopUp
    leg: KnownLeg
    steps: tuple[TopUpStep, ...]
    equipment: Equipment | None
    counted: str
    situation: Situation
    decision: Decision
    ruler: RulerLengths
    supply: SupplyView | None
    learned_doses: int
    rise_expected_by_physics_in: float | None
    estimated: tuple[str, ...]
    filled_before: datetime | None


def plan_of(top_up: TopUp) -> TopUpPlan:
    """Return the plan as the rows of the top-up, and of earlier ones with the same strut, make it."""
    _, leg = known_leg(top_up.operator_id, top_up.leg_id)
    figures = sheet_figures([leg])
    steps = tuple(top_up.live_steps.select_related("person"))
    last = steps[-1]
    equipment = top_up.equipment
    counted = COUNTED_BY_KIND[EquipmentKind(equipment.kind)] if equipment else Counted.STROKES
    strut = resting_strut(figures, last.load_lbf, last.temperature_used_f)
    on_sheet = strut_of_sheet(figures)
    supply = _supply(equipment, figures, strut)
    full = math.inf if leg.sheet.full_extension_in is None else leg.sheet.full_extension_in
    past = past_doses(top_up, equipment, full, on_sheet)
    loss = same_gas_in((supply.hose_loss_in or 0.0) if supply else 0.0, strut, on_sheet)
    by_physics = supply.rise_per_unit_in if supply else None
    progress = without_hose(progress_of(steps, full), top_up, equipment, loss)
    filled = [hose_given_back(seen, loss) for seen in past if is_of(equipment, seen)]
    filled += [seen for seen in progress.seen if is_of(equipment, seen)]
    released = [replace(seen, rise_in=-seen.rise_in) for seen in (*past, *progress.seen) if seen.released]
    last_seen = progress.seen[-1] if progress.seen else None
    prior = _prior(equipment, counted, figures) if equipment else None
    letting_out = prior_calibration(DROP_PER_SECOND_IN, SPREAD_PER_SECOND)
    situation = Situation(
        progress=progress,
        last_exercise=last.exercised,
        as_read_in=last.extension_in,
        goal=Goal(top_up.target_in, top_up.tolerance_in),
        low_limit_in=leg.sheet.low_limit_in,
        high_limit_in=leg.sheet.high_limit_in,
        chance=top_up.overshoot_chance,
        stiction_in=_stiction_in(figures, top_up.target_in),
        filling=learned(prior, filled) if prior else None,
        # A dose of another pump is not judged by what is known of this one.
        filling_before=learned(prior, filled[:-1]) if prior and last_seen and is_of(equipment, last_seen) else None,
        releasing=learned(letting_out, released),
        releasing_before=learned(letting_out, released[:-1]),
        counted=counted,
        reachable=supply.reachable if supply else None,
        last_falls_short=last_falls_short(progress, prior, letting_out),
        hose_loss_in=loss if not top_up.hose_filled_first and _connects_next(steps, equipment) else 0.0,
    )
    still_there = any(stay.part_id == top_up.strut_id and stay.until is None for stay in leg.struts)
    decision = decide(situation) if still_there else GONE
    return TopUpPlan(
        top_up=top_up,
        leg=leg,
        steps=steps,
        equipment=equipment,
        counted=counted,
        situation=situation,
        decision=decision,
        ruler=_ruler(figures, leg, top_up, last, decision),
        supply=supply,
        learned_doses=len(believed(prior, filled)) if prior else 0,
        rise_expected_by_physics_in=by_physics and same_gas_in(by_physics, strut, on_sheet),
        estimated=tuple(dict.fromkeys((*figures.estimated[0], *(supply.estimated if supply else ())))),
        filled_before=filled_lately(top_up) if decision.next is Next.GIVE else None,
    )


def _supply(equipment: Equipment | None, figures: SheetFigures, strut: RestingStrut) -> SupplyView | None:
    if equipment is None:
        return None
    newest = pressures_of(equipment.operator_id, equipment.id).first()
    return supply_view(
        equipment,
        strut,
        atmosphere_psia=float(figures.atmosphere_psia[0]),
        cylinder_psig=newest.pressure_psig if newest else None,
    )


def _connects_next(steps: Sequence[TopUpStep], equipment: Equipment | None) -> bool:
    """Say whether the next dose begins by connecting the hose: it stays on only between doses without exercise."""
    last = steps[-1]
    return last.exercised != "not" or equipment is None or last.equipment_id != equipment.id


def _prior(equipment: Equipment, counted: str, figures: SheetFigures) -> Calibration:
    if counted == Counted.SECONDS:
        return prior_calibration(RISE_PER_SECOND_IN, SPREAD_PER_SECOND)
    view = supply_view(equipment, strut_of_sheet(figures), atmosphere_psia=float(figures.atmosphere_psia[0]))
    return prior_calibration(view.rise_per_unit_in) if view.rise_per_unit_in else prior_calibration()


def _stiction_in(figures: SheetFigures, extension_in: float) -> float:
    load = float(figures.reference_load_lbf[0])
    band = friction_band(
        extension_in,
        float(figures.reference_temperature_f[0]),
        load,
        FRICTION_SHARE * load,
        one_strut(figures),
        atmosphere_psia=float(figures.atmosphere_psia[0]),
    )
    return extension_in - float(band.lowest_in)


def one_strut(figures: SheetFigures) -> StrutFigures:
    """Return the physical figures of the only leg, as scalars."""
    strut = figures.strut_figures(np.zeros(1, np.int64))
    names = (
        "tube_diameter_in",
        "gas_column_in",
        "fluid_volume_in3",
        "full_extension_in",
        "reference_load_lbf",
        "reference_temperature_f",
        "fluid_expansion_per_k",
    )
    scalars = {name: float(np.asarray(getattr(strut, name))[0]) for name in names}
    return StrutFigures(**scalars, gas=Gas.AIR if figures.dry_air[0] else Gas.NITROGEN)


def _ruler(figures: SheetFigures, leg: KnownLeg, top_up: TopUp, last: TopUpStep, decision: Decision) -> RulerLengths:
    strut = one_strut(figures)
    atmosphere = float(figures.atmosphere_psia[0])

    def now(extension_in: float) -> float:
        # Where the air is at the sheet's pressure the two are the same; corrections use the same pair.
        table = servicing_table(
            min(max(extension_in, 0.0), float(np.asarray(strut.full_extension_in))),
            [last.temperature_used_f],
            [last.load_lbf],
            strut,
            atmosphere_psia=atmosphere,
        )
        return float(table.extension_in[0, 0])

    plan = decision.dose
    return RulerLengths(
        target_in=now(top_up.target_in),
        low_limit_in=now(leg.sheet.low_limit_in),
        high_limit_in=now(leg.sheet.high_limit_in),
        expected_in=now(float(plan.expected_in)) if plan else None,
        expected_low_in=now(float(plan.low_in)) if plan else None,
        expected_high_in=now(float(plan.high_in)) if plan else None,
    )
