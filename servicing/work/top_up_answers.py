"""A top-up and its plan, worded for the person with the pump."""

from typing import Any, Final

from calculations.cautions import Step
from fleet.web.quantities import quantity
from servicing.work.deciding import Next
from servicing.work.models import Counted, TopUp, TopUpStep
from servicing.work.planning import TopUpPlan
from servicing.work.safety import cautions_for_steps

SHEET_FIGURES: Final = (
    "target_extension",
    "low_limit",
    "high_limit",
    "full_extension",
    "reference_temperature",
    "reference_load",
    "reference_fuel",
    "load_per_fuel",
    "load_per_occupant",
    "tube_diameter",
    "gas_column",
    "fluid_volume",
)
STEPS_OF_NEXT: Final = {
    Next.GIVE: (Step.MEASURE, Step.EXERCISE, Step.GAS_CHARGE),
    Next.LET_OUT: (Step.MEASURE, Step.EXERCISE, Step.GAS_RELEASE),
    Next.EXERCISE: (Step.MEASURE, Step.EXERCISE),
    Next.HIDDEN_CHARGE: (Step.MEASURE, Step.EXERCISE),
    Next.GAS_MISSING: (Step.MEASURE, Step.EXERCISE, Step.VALVE),
    Next.TOO_COARSE: (Step.MEASURE, Step.EXERCISE, Step.GAS_CHARGE, Step.GAS_RELEASE),
}
EXERCISE_WHEN: Final = {
    Next.GIVE: "after the dose",
    Next.LET_OUT: "after the dose",
    Next.EXERCISE: "now",
    Next.HIDDEN_CHARGE: "now",
    Next.GAS_MISSING: "now",
}


def state_of(top_up: TopUp) -> str:
    """Say whether a top-up runs."""
    if top_up.finished_at is not None:
        return "finished"
    return "paused" if top_up.paused_at is not None else "running"


def top_up_answer(plan: TopUpPlan, unit_system: str) -> dict[str, Any]:
    """Return a top-up with its plan, in the caller's units."""
    finished = plan.top_up.finished_at is not None
    steps = STEPS_OF_NEXT.get(plan.decision.next, (Step.MEASURE,))
    gives = plan.decision.next in (Next.GIVE, Next.TOO_COARSE)
    kind = plan.equipment.kind if plan.equipment and gives else None
    estimated = list(plan.estimated)
    return {
        **summary_answer(plan.top_up, unit_system),
        "steps": [_step(step, unit_system) for step in plan.steps],
        "plan": None if finished else _plan(plan, unit_system),
        "cautions": cautions_for_steps(Step.MEASURE) if finished else cautions_for_steps(*steps, equipment_kind=kind),
        "assumptions": _assumptions(plan),
        "basis": {
            "type_sheet": [name for name in SHEET_FIGURES if name not in estimated],
            "estimated": estimated,
        },
    }


def summary_answer(top_up: TopUp, unit_system: str) -> dict[str, Any]:
    """Return a top-up without steps and plan."""
    return {
        "id": str(top_up.id),
        "leg": str(top_up.leg_id),
        "strut": str(top_up.strut_id),
        "equipment": str(top_up.equipment_id) if top_up.equipment_id else None,
        "state": state_of(top_up),
        "started_at": top_up.started_at.isoformat(),
        "paused_at": top_up.paused_at.isoformat() if top_up.paused_at else None,
        "finished_at": top_up.finished_at.isoformat() if top_up.finished_at else None,
        "outcome": str(top_up.outcome),
        "note": top_up.note,
        "target": quantity(top_up.target_in, "length", unit_system),
        "tolerance": quantity(top_up.tolerance_in, "length", unit_system),
        "overshoot_chance": top_up.overshoot_chance,
        "hose_filled_first": top_up.hose_filled_first,
        "version": top_up.version,
    }


def _step(step: TopUpStep, unit_system: str) -> dict[str, Any]:
    return {
        "id": str(step.id),
        "number": step.sequence,
        "at": step.at.isoformat(),
        "by": step.person.name if step.person else "",
        "amount": step.amount,
        "counted": str(step.counted),
        "released": step.released,
        "hose_connected": step.hose_connected,
        "extension_before": quantity(step.extension_before_in, "length", unit_system),
        "extension": quantity(step.extension_in, "length", unit_system),
        "exercised": str(step.exercised),
        "corrected": quantity(step.corrected_in, "length", unit_system),
        "uncertainty": quantity(step.uncertainty_in, "length", unit_system),
        "temperature": quantity(step.temperature_f, "temperature", unit_system),
        "load": quantity(step.load_lbf, "force", unit_system),
        "corrects": str(step.corrects_id) if step.corrects_id else None,
        "correction_reason": step.correction_reason,
    }


def _plan(plan: TopUpPlan, unit_system: str) -> dict[str, Any]:
    decision, known, supply = plan.decision, plan.situation.filling, plan.supply

    def length(value_in: float | None) -> dict[str, Any] | None:
        return quantity(value_in, "length", unit_system)

    return {
        "next": decision.next.value,
        "why": decision.why,
        "exercise": EXERCISE_WHEN.get(decision.next, "not needed"),
        "dose": _dose(plan, unit_system),
        "doses_to_expect": decision.doses_to_expect,
        "hidden": length(float(decision.dose.hidden_in) if decision.dose else 0.0),
        "corrected": length(plan.situation.progress.extension_in),
        "ruler_now": {
            "target": length(plan.ruler.target_in),
            "low_limit": length(plan.ruler.low_limit_in),
            "high_limit": length(plan.ruler.high_limit_in),
        },
        "learned": known
        and {
            "mean": length(float(known.rise_per_unit_in)),
            "uncertainty": length(float(known.uncertainty_in)),
            "degrees_of_freedom": float(known.degrees_of_freedom),
            "doses": plan.learned_doses,
            "expected_by_physics": length(plan.rise_expected_by_physics_in),
        },
        "equipment_reach": supply
        and {
            "reachable": supply.reachable,
            "highest": quantity(supply.highest_psig, "gauge_pressure", unit_system),
            "needed": quantity(supply.needed_psig, "gauge_pressure", unit_system),
            "hose_loss": length(supply.hose_loss_in),
        },
    }


def _dose(plan: TopUpPlan, unit_system: str) -> dict[str, Any] | None:
    dose, ruler = plan.decision.dose, plan.ruler
    if dose is None or plan.decision.next not in (Next.GIVE, Next.LET_OUT):
        return None

    def length(value_in: float | None) -> dict[str, Any] | None:
        return quantity(value_in, "length", unit_system)

    released = plan.decision.next is Next.LET_OUT
    return {
        "amount": float(dose.units),
        "counted": str(Counted.SECONDS if released else plan.counted),
        "overshoot_chance": float(dose.chance_beyond),
        "overshoot_chance_one_more": float(dose.chance_beyond_next),
        "needed": float(dose.needed_units),
        "expected": {
            "corrected": length(float(dose.expected_in)),
            "corrected_low": length(float(dose.low_in)),
            "corrected_high": length(float(dose.high_in)),
            "on_ruler": length(ruler.expected_in),
            "on_ruler_low": length(ruler.expected_low_in),
            "on_ruler_high": length(ruler.expected_high_in),
        },
        "hose_loss": length(0.0 if released else plan.situation.hose_loss_in),
    }


def _assumptions(plan: TopUpPlan) -> list[str]:
    last = plan.steps[-1]
    said = ["Friction may hold the strut by as much as a tenth of its load."]
    if plan.filled_before is not None:
        days = (plan.top_up.started_at - plan.filled_before).days
        said.append(
            f"The fluid is taken to be right, though gas went in {days} days ago too: have its level checked by the "
            "manual's procedure before more gas."
        )
    if last.temperature_f is None:
        said.append("Nobody noted the temperature: it was estimated from other readings of the aircraft.")
    if last.fuel_lb is None:
        said.append("Nobody noted the fuel aboard: it was estimated from other readings of the aircraft.")
    if last.occupants_lb is None:
        said.append("Nobody is aboard.")
    if plan.equipment is not None and not plan.learned_doses:
        said.append("No dose with this equipment is known on this strut: the first is small for that reason.")
    if plan.supply is not None and plan.supply.hose_loss_in is None and not plan.top_up.hose_filled_first:
        said.append("The volume of the hose is not known: what connecting it costs is not counted.")
    if plan.equipment is not None and plan.equipment.kind == "hand pump" and plan.leg.sheet.gas == "nitrogen":
        said.append("The pump puts in air; the sheet says nitrogen. Ask the manual whether dry air will do.")
    return said
