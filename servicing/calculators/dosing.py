"""The next dose of gas, or how much to let out, from a person's own log; how surprising a dose was."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any, Final

from calculations.cautions import Step
from calculations.dosing.calibration import (
    Calibration,
    DoseLog,
    falls_short,
    learn,
    prior_calibration,
    surprise,
)
from calculations.dosing.plan import (
    Advice,
    DosePlan,
    Goal,
    SinceExercise,
    doses_to_expect,
    next_dose,
    next_release,
)
from servicing.calculators.calculator import Calculator, Worked
from servicing.calculators.dosing_shapes import DosePlanAnswer, DosePlanInput, SurpriseAnswer, SurpriseInput
from servicing.calculators.given import column, given_only, together, told

_GELMAN: Final = "Gelman et al., Bayesian Data Analysis, 3rd ed., 2013, sections 3.3 and 14.8"


def _calibration(values: Mapping[str, Any]) -> tuple[Calibration, tuple[str, ...]]:
    """Return what the log teaches, and what is to be said of it."""
    rows = values.get("doses") or []
    before = prior_calibration(**given_only(values, rise_per_unit_in="expected_rise", variation="variation"))
    if not rows:
        return before, ()
    log_names = {"units": "doses.units", "rise_in": "doses.rise", "pressure_ratio": "doses.pressure_ratio"}
    short = told(log_names, lambda: falls_short(before, _log_of(rows)))()
    taught = [row for row, one in zip(rows, short, strict=True) if not one]
    numbers = ", ".join(str(number) for number, one in enumerate(short, start=1) if one)
    said = f"Dose {numbers} of the log moved the strut less than any such supply would, and teaches nothing."
    return learn(before, _log_of(taught)) if taught else before, (said,) if numbers else ()


def _log_of(rows: list[Mapping[str, Any]]) -> DoseLog:
    return DoseLog(*(column(rows, name) for name in ("units", "rise", "settled", "pressure_ratio")))


def _plan(plan: Callable[..., DosePlan], values: Mapping[str, Any]) -> Worked:
    goal = Goal(values["target"], **given_only(values, tolerance_in="tolerance"))
    since = values.get("since_exercise", {"units": 0.0, "seen": 0.0})
    options = given_only(
        values, stiction_in="stiction", pressure_ratio="pressure_ratio", chance="chance", unit="unit"
    )

    def dose(known: Calibration) -> DosePlan:
        pending = SinceExercise(since["units"], since["seen"])
        return plan(values["extension"], goal, known, since=pending, **options)

    names = {"units": "since_exercise.units", "seen_in": "since_exercise.seen"}
    (known, said), _ = together(lambda: _calibration(values), told(names, lambda: dose(prior_calibration())))
    found = dose(known)
    filling = plan is next_dose
    unit = given_only(values, unit="unit")
    return Worked(
        {
            "advice": Advice(int(found.advice)),
            "units": found.units,
            "expected": found.expected_in,
            "low": found.low_in,
            "high": found.high_in,
            "chance_beyond": found.chance_beyond,
            "chance_beyond_next": found.chance_beyond_next,
            "needed_units": found.needed_units,
            "hidden": found.hidden_in,
            "doses_to_expect": doses_to_expect(values["extension"], goal, known, planned=plan, **unit),
            "rise_per_unit": known.rise_per_unit_in,
            "rise_per_unit_uncertainty": known.uncertainty_in,
        },
        sources=(
            _GELMAN,
            "common practice, no source: a quarter inch per stroke",
        ),
        assumptions=("The chance holds for a strut that is exercised and read after every dose.", *said),
        estimated=tuple(name for name in ("expected_rise", "tolerance", "stiction") if name not in values),
        steps=(Step.GAS_CHARGE if filling else Step.GAS_RELEASE, Step.EXERCISE, Step.MEASURE),
    )


def _surprise(values: Mapping[str, Any]) -> Worked:
    def compare(known: Calibration) -> Any:
        ratio = given_only(values, pressure_ratio="pressure_ratio")
        return surprise(known, values["units"], values["rise"], settled=values["settled"], **ratio)

    (known, said), _ = together(lambda: _calibration(values), lambda: compare(prior_calibration()))
    found = compare(known)
    return Worked(
        {
            "expected": found.expected_in,
            "chance_of_less": found.chance_of_less,
            "chance_of_more": found.chance_of_more,
        },
        sources=(_GELMAN,),
        assumptions=("The dose is none of the log's.", *said),
        estimated=tuple(name for name in ("expected_rise",) if name not in values),
        steps=(Step.GAS_CHARGE, Step.EXERCISE),
    )


_EXAMPLE: Final = {
    "extension": "2 1/2 in",
    "target": "4 1/2 in",
    "tolerance": "1/4 in",
    "doses": [{"units": 4, "rise": "0.9 in"}, {"units": 4, "rise": "1.1 in"}],
}
CALCULATORS: Final = (
    Calculator(
        "dosing/next-dose",
        "plan_next_dose",
        "The next dose of gas, from below",
        DosePlanInput,
        DosePlanAnswer,
        partial(_plan, next_dose),
        _EXAMPLE,
        names={"rise_per_unit_in": "expected_rise"},
    ),
    Calculator(
        "dosing/release",
        "plan_release",
        "How much gas to let out, from above",
        DosePlanInput,
        DosePlanAnswer,
        partial(_plan, next_release),
        {**_EXAMPLE, "extension": "6 1/2 in"},
        names={"rise_per_unit_in": "expected_rise"},
    ),
    Calculator(
        "dosing/surprise",
        "judge_dose",
        "How well a dose agrees with what was expected of it",
        SurpriseInput,
        SurpriseAnswer,
        _surprise,
        {"units": 6, "rise": "0.2 in"},
        names={"rise_per_unit_in": "expected_rise"},
    ),
)
