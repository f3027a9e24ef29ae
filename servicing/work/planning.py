"""The plan of a top-up, made anew from its rows whenever it is asked for: nothing of it is stored or lost."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from calculations.dosing import Calibration, DoseLog, Goal, falls_short, learn, prior_calibration
from calculations.gas import Gas
from calculations.strut import StrutFigures
from calculations.strut_service import friction_band, servicing_table
from fleet.equipment.models import Equipment, EquipmentKind
from fleet.equipment.queries import pressures_of
from servicing.readings.figures import SheetFigures, sheet_figures
from servicing.readings.known_fleet import KnownLeg
from servicing.work.deciding import Decision, Situation, decide
from servicing.work.models import Counted, Servicing, TopUp, TopUpStep
from servicing.work.segments import DoseSeen, Progress, learned_from, progress_of
from servicing.work.supplies import SupplyView, resting_strut, supply_view
from servicing.work.top_up_checks import COUNTED_BY_KIND, known_leg

FRICTION_SHARE: Final = 0.10  # of the load, that a sticky but free strut may hold; ASSUMED
RISE_PER_SECOND_IN: Final = 0.25  # of an open regulator; ASSUMED, hence the wide spread
DROP_PER_SECOND_IN: Final = 0.50  # of a valve just cracked; ASSUMED
SPREAD_PER_SECOND: Final = 1.0
LEARNED_TOP_UPS: Final = 20  # of the past, that the rise per stroke is learned from


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


def plan_of(top_up: TopUp) -> TopUpPlan:
    """Return the plan as the rows of the top-up, and of earlier ones with the same strut, make it."""
    _, leg = known_leg(top_up.operator_id, top_up.leg_id)
    figures = sheet_figures([leg])
    steps = tuple(top_up.steps.select_related("person").order_by("at", "sequence"))
    last = steps[-1]
    equipment = top_up.equipment
    counted = COUNTED_BY_KIND[EquipmentKind(equipment.kind)] if equipment else Counted.STROKES
    supply = _supply(equipment, figures, last)
    past = _past_doses(top_up, equipment)
    loss = _loss(top_up, supply)
    progress = _without_hose(progress_of(steps), equipment, loss)
    filled = _filled_with(equipment, past, loss) + [seen for seen in progress.seen if _is_of(equipment, seen)]
    released = [replace(seen, rise_in=-seen.rise_in) for seen in (*past, *progress.seen) if seen.released]
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
        filling=_learned(prior, filled) if prior else None,
        filling_before=_learned(prior, filled[:-1]) if prior else None,
        releasing=_learned(letting_out, released),
        releasing_before=_learned(letting_out, released[:-1]),
        counted=counted,
        reachable=supply.reachable if supply else None,
        last_falls_short=_last_falls_short(progress, prior, letting_out),
        hose_loss_in=loss if _connects_next(steps) else 0.0,
    )
    decision = decide(situation)
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
        learned_doses=len(_believed(prior, filled)) if prior else 0,
        rise_expected_by_physics_in=supply.rise_per_unit_in if supply else None,
        estimated=tuple(dict.fromkeys((*figures.estimated[0], *(supply.estimated if supply else ())))),
    )


def _supply(equipment: Equipment | None, figures: SheetFigures, last: TopUpStep) -> SupplyView | None:
    if equipment is None:
        return None
    strut = resting_strut(figures, last.load_lbf, last.temperature_used_f)
    newest = pressures_of(equipment.operator_id, equipment.id).first()
    return supply_view(
        equipment,
        strut,
        atmosphere_psia=float(figures.atmosphere_psia[0]),
        cylinder_psig=newest.pressure_psig if newest else None,
    )


def _loss(top_up: TopUp, supply: SupplyView | None) -> float:
    """Return the length lost per connection of the hose [in]."""
    return 0.0 if top_up.hose_filled_first or supply is None else supply.hose_loss_in or 0.0


def _connects_next(steps: Sequence[TopUpStep]) -> bool:
    """Say whether the next dose begins by connecting the hose: it stays on only between doses without exercise."""
    last = steps[-1]
    return not last.amount or last.released or last.exercised != "not"


def _past_doses(top_up: TopUp, equipment: Equipment | None) -> list[DoseSeen]:
    earlier = TopUp.objects.of(top_up.operator_id).filter(strut=top_up.strut).exclude(pk=top_up.pk)
    newest = earlier.order_by("-started_at")[:LEARNED_TOP_UPS].prefetch_related("steps")
    sessions = [sorted(one.steps.all(), key=lambda step: (step.at, step.sequence)) for one in newest]
    return learned_from(sessions) + _written_down(top_up, equipment)


def _written_down(top_up: TopUp, equipment: Equipment | None) -> list[DoseSeen]:
    """Return what work without guidance taught: strokes with a length before and after."""
    if equipment is None:
        return []
    rows = Servicing.objects.of(top_up.operator_id).filter(
        strut=top_up.strut,
        equipment=equipment,
        work="gas added",
        top_up__isnull=True,
        superseded=False,
        withdrawn=False,
        strokes__gt=0,
        extension_before_in__isnull=False,
        extension_after_in__isnull=False,
    )
    lengths = rows.order_by("-done_at").values_list("strokes", "extension_before_in", "extension_after_in")
    return [
        DoseSeen(strokes, after - before, 0, False, False, equipment.id, "not")
        for strokes, before, after in lengths[:LEARNED_TOP_UPS]
        if strokes is not None and before is not None and after is not None
    ]


def _filled_with(equipment: Equipment | None, seen: Sequence[DoseSeen], hose_loss_in: float) -> list[DoseSeen]:
    """Return what the equipment's doses did."""
    return [_hose_given_back(dose, hose_loss_in) for dose in seen if _is_of(equipment, dose)]


def _is_of(equipment: Equipment | None, dose: DoseSeen) -> bool:
    return equipment is not None and not dose.released and dose.equipment_id == equipment.id


def _hose_given_back(dose: DoseSeen, hose_loss_in: float) -> DoseSeen:
    """Return what a dose did without what connecting the hose took away."""
    return replace(dose, rise_in=dose.rise_in + dose.hose_connections * hose_loss_in)


def _without_hose(progress: Progress, equipment: Equipment | None, hose_loss_in: float) -> Progress:
    def given_back(dose: DoseSeen) -> DoseSeen:
        return _hose_given_back(dose, hose_loss_in) if _is_of(equipment, dose) else dose

    pending = given_back(progress.pending) if progress.pending else None
    return replace(progress, seen=tuple(map(given_back, progress.seen)), pending=pending)


def _last_falls_short(progress: Progress, filling: Calibration | None, releasing: Calibration) -> bool:
    last = progress.seen[-1] if progress.seen else None
    prior = releasing if last and last.released else filling
    if last is None or prior is None or last.on_stop:
        return False
    moved = replace(last, rise_in=-last.rise_in) if last.released else last
    return not _believed(prior, [moved])


def _prior(equipment: Equipment, counted: str, figures: SheetFigures) -> Calibration:
    if counted == Counted.SECONDS:
        return prior_calibration(RISE_PER_SECOND_IN, SPREAD_PER_SECOND)
    strut = resting_strut(figures, float(figures.reference_load_lbf[0]), float(figures.reference_temperature_f[0]))
    view = supply_view(equipment, strut, atmosphere_psia=float(figures.atmosphere_psia[0]))
    return prior_calibration(view.rise_per_unit_in) if view.rise_per_unit_in else prior_calibration()


def _learned(prior: Calibration, doses: Sequence[DoseSeen]) -> Calibration:
    believed = _believed(prior, doses)
    return learn(prior, _log_of(believed)) if believed else prior


def _believed(prior: Calibration, doses: Sequence[DoseSeen]) -> list[DoseSeen]:
    """Return the doses that teach something: not those on the stop, nor those whose strokes and length disagree."""
    doses = [dose for dose in doses if not dose.on_stop]
    if not doses:
        return []
    return [dose for dose, short in zip(doses, falls_short(prior, _log_of(doses)), strict=True) if not short]


def _log_of(doses: Sequence[DoseSeen]) -> DoseLog:
    return DoseLog(
        [dose.amount for dose in doses], [dose.rise_in for dose in doses], [dose.settled for dose in doses]
    )


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
            max(extension_in, 0.0),
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
