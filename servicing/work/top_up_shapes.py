"""How top-ups and their plans look in requests and answers."""

from typing import Any, Final

from rest_framework import serializers

from calculations.cautions import Step
from fleet.web.quantities import Measured, QuantityField, quantity
from fleet.web.shapes import InputSerializer
from servicing.work.deciding import Next
from servicing.work.models import Counted, Exercise, Outcome, TopUp, TopUpStep
from servicing.work.planning import TopUpPlan
from servicing.work.safety import cautions_for_steps
from servicing.work.top_up_rows import StepRow

STEP_QUANTITIES: Final = {
    "extension": "extension_in",
    "extension_before": "extension_before_in",
    "temperature": "temperature_f",
    "fuel": "fuel_lb",
    "occupants": "occupants_lb",
}
STEPS_OF_NEXT: Final = {
    Next.GIVE: (Step.MEASURE, Step.EXERCISE, Step.GAS_CHARGE),
    Next.LET_OUT: (Step.MEASURE, Step.EXERCISE, Step.GAS_RELEASE),
    Next.EXERCISE: (Step.MEASURE, Step.EXERCISE),
    Next.HIDDEN_CHARGE: (Step.MEASURE, Step.EXERCISE),
    Next.GAS_MISSING: (Step.MEASURE, Step.EXERCISE, Step.VALVE),
    Next.TOO_COARSE: (Step.MEASURE, Step.GAS_CHARGE),
}
EXERCISE_WHEN: Final = {
    Next.GIVE: "after the dose",
    Next.LET_OUT: "after the dose",
    Next.EXERCISE: "now",
    Next.HIDDEN_CHARGE: "now",
    Next.GAS_MISSING: "now",
}


class LookInput(InputSerializer):
    """The length of a strut as it is now."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the client; sent again, nothing happens twice.")
    at = serializers.DateTimeField()
    extension = QuantityField("length", minimum=0, maximum=60)
    exercised = serializers.ChoiceField(Exercise.choices, default=Exercise.NOT)
    temperature = QuantityField("temperature", required=False, minimum=-60, maximum=160)
    fuel = QuantityField("mass", required=False, minimum=0, maximum=100_000)
    occupants = QuantityField("mass", required=False, minimum=0, maximum=20_000)


class DoseInput(LookInput):
    """Gas put in or let out, with the length that it led to."""

    amount = serializers.FloatField(min_value=0.01, max_value=1000, help_text="Strokes, cycles or seconds.")
    counted = serializers.ChoiceField(
        Counted.choices, required=False, help_text="By default as its equipment counts."
    )
    released = serializers.BooleanField(default=False, help_text="True where gas was let out.")
    extension_before = QuantityField("length", required=False, minimum=0, maximum=60)
    hose_connected = serializers.BooleanField(
        required=False, help_text="Whether the hose was connected anew; by default after each exercise."
    )


class TopUpInput(InputSerializer):
    """What to begin with."""

    id = serializers.UUIDField(required=False, help_text="Chosen by the client; sent again, nothing happens twice.")
    leg = serializers.UUIDField()
    equipment = serializers.UUIDField(required=False)
    look = LookInput()
    target = QuantityField("length", required=False, help_text="At the sheet's conditions; by default the sheet's.")
    tolerance = QuantityField("length", required=False)
    overshoot_chance = serializers.FloatField(
        default=0.05, min_value=0.001, max_value=0.5, help_text="Greatest chance of overshoot accepted per dose."
    )
    hose_filled_first = serializers.BooleanField(
        default=False, help_text="True where the hose is pressed up before it is opened to the strut."
    )


class TopUpChange(InputSerializer):
    """What changes in a running top-up."""

    equipment = serializers.UUIDField(allow_null=True)


class FinishInput(InputSerializer):
    """How a top-up ends."""

    note = serializers.CharField(required=False, max_length=500, allow_blank=True)


class TopUpFilters(serializers.Serializer[Any]):
    """Which top-ups to list."""

    aircraft = serializers.UUIDField(required=False)
    leg = serializers.UUIDField(required=False)
    strut = serializers.UUIDField(required=False)
    finished = serializers.BooleanField(required=False, allow_null=True, default=None)


class StepAnswer(serializers.Serializer[Any]):
    """One dose, or one look."""

    id = serializers.UUIDField()
    number = serializers.IntegerField()
    at = serializers.DateTimeField()
    by = serializers.CharField()
    amount = serializers.FloatField()
    counted = serializers.CharField()
    released = serializers.BooleanField()
    hose_connected = serializers.BooleanField()
    extension_before = QuantityField("length", allow_null=True)
    extension = QuantityField("length")
    exercised = serializers.ChoiceField(Exercise.choices)
    corrected = QuantityField("length")
    uncertainty = QuantityField("length")
    temperature = QuantityField("temperature", allow_null=True)
    load = QuantityField("force")


class PredictionAnswer(serializers.Serializer[Any]):
    """Where the strut should settle after the dose, with an 80 % interval."""

    corrected = QuantityField("length", help_text="At the sheet's load and temperature.")
    corrected_low = QuantityField("length")
    corrected_high = QuantityField("length")
    on_ruler = QuantityField("length", help_text="Now, at this load and temperature.")
    on_ruler_low = QuantityField("length")
    on_ruler_high = QuantityField("length")


class DoseAnswer(serializers.Serializer[Any]):
    """The next dose."""

    amount = serializers.FloatField()
    counted = serializers.ChoiceField(Counted.choices)
    overshoot_chance = serializers.FloatField(help_text="Of settling beyond target and tolerance after this dose.")
    overshoot_chance_one_more = serializers.FloatField()
    needed = serializers.FloatField(help_text="What the mean still needs to the target, not rounded.")
    expected = PredictionAnswer()
    hose_loss = QuantityField("length", help_text="Length that connecting the hose takes away first; in the figures.")


class LearnedAnswer(serializers.Serializer[Any]):
    """Rise per stroke, cycle or second at the sheet's load, learned on this strut with this equipment."""

    mean = QuantityField("length")
    uncertainty = QuantityField("length", help_text="Scale of its Student t distribution, like one sigma.")
    degrees_of_freedom = serializers.FloatField()
    doses = serializers.IntegerField()
    expected_by_physics = QuantityField("length", allow_null=True)


class EquipmentReachAnswer(serializers.Serializer[Any]):
    """Whether the equipment can reach the pressure that the load asks for."""

    reachable = serializers.BooleanField(allow_null=True)
    highest = QuantityField("gauge_pressure", allow_null=True)
    needed = QuantityField("gauge_pressure")
    hose_loss = QuantityField("length", allow_null=True)


class RulerAnswer(serializers.Serializer[Any]):
    """Target and limits as the ruler shows them now."""

    target = QuantityField("length")
    low_limit = QuantityField("length")
    high_limit = QuantityField("length")


class PlanAnswer(serializers.Serializer[Any]):
    """What to do next."""

    next = serializers.ChoiceField([(word.value, word.value) for word in Next])
    why = serializers.CharField()
    exercise = serializers.ChoiceField(["now", "after the dose", "not needed"])
    dose = DoseAnswer(allow_null=True)
    doses_to_expect = serializers.IntegerField(allow_null=True)
    hidden = QuantityField("length", help_text="Rise given but not seen yet.")
    corrected = QuantityField("length")
    ruler_now = RulerAnswer()
    learned = LearnedAnswer(allow_null=True)
    equipment_reach = EquipmentReachAnswer(allow_null=True)


class TopUpAnswer(serializers.Serializer[Any]):
    """A top-up with its plan."""

    id = serializers.UUIDField()
    leg = serializers.UUIDField()
    strut = serializers.UUIDField()
    equipment = serializers.UUIDField(allow_null=True)
    state = serializers.ChoiceField(["running", "paused", "finished"])
    started_at = serializers.DateTimeField()
    paused_at = serializers.DateTimeField(allow_null=True)
    finished_at = serializers.DateTimeField(allow_null=True)
    outcome = serializers.ChoiceField([("", ""), *Outcome.choices])
    note = serializers.CharField()
    target = QuantityField("length")
    tolerance = QuantityField("length")
    overshoot_chance = serializers.FloatField()
    hose_filled_first = serializers.BooleanField()
    version = serializers.IntegerField()
    steps = StepAnswer(many=True)
    plan = PlanAnswer(allow_null=True)
    cautions = serializers.ListField(child=serializers.CharField())
    assumptions = serializers.ListField(child=serializers.CharField())
    basis = serializers.DictField(child=serializers.ListField(child=serializers.CharField()))


def step_row(values: dict[str, Any]) -> StepRow:
    """Return the row that a checked look or dose describes."""
    read: dict[str, Measured] = {name: values[name] for name in STEP_QUANTITIES if name in values}
    figures: dict[str, Any] = {STEP_QUANTITIES[name]: measured.internal for name, measured in read.items()}
    return StepRow(
        at=values["at"],
        exercised=values["exercised"],
        amount=values.get("amount", 0.0),
        counted=values.get("counted", ""),
        released=values.get("released", False),
        hose_connected=values.get("hose_connected"),
        as_read={name: measured.as_read for name, measured in read.items()},
        id=values.get("id"),
        **figures,
    )


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
