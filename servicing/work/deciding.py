"""What to do next in a top-up: pure, from where it stands, what strokes did before, and what the supply can do."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from calculations.dosing import (
    Advice,
    Calibration,
    DosePlan,
    Goal,
    SinceExercise,
    doses_to_expect,
    next_dose,
    next_release,
    surprise,
)
from servicing.work.segments import ON_STOP_IN, Progress

TOO_LITTLE: Final = 0.01  # chance of a rise so small below which strokes and length disagree
SMALLEST_SECONDS: Final = 0.5  # of an open valve


class Next(StrEnum):
    """What to do next."""

    GIVE = "give gas"
    LET_OUT = "let gas out"
    EXERCISE = "exercise and read again"
    HIDDEN_CHARGE = "hidden charge: no more gas, exercise and read again"
    GAS_MISSING = "gas is missing: look for a leak or a bound strut"
    NOTHING = "nothing to do"
    DONE = "done"
    TOO_COARSE = "a smaller dose, or leave it"
    CANNOT_REACH = "this equipment cannot reach the pressure"
    NO_EQUIPMENT = "choose equipment"
    STRUT_GONE = "finish: the strut is no longer on this leg"


@dataclass(frozen=True, slots=True)
class Situation:
    """All that the decision rests on; lengths are corrected [in].

    Parameters
    ----------
    progress
        Where the steps lead to.
    last_exercise
        How the strut was exercised before the last length.
    as_read_in
        The last length as the ruler showed it.
    goal
        Target and tolerance.
    low_limit_in, high_limit_in
        Of the sheet, as lengths at the sheet's conditions.
    chance
        Greatest chance of overshoot per dose.
    stiction_in
        How far friction can hold the strut from its place.
    filling, releasing
        What is known of the rise and of the drop per unit; filling None without equipment.
    filling_before, releasing_before
        The same before the last group of doses, to judge that group by.
    counted
        In what the equipment counts; seconds come in halves.
    reachable
        Whether the equipment reaches the pressure; None where nothing is known.
    last_falls_short
        Whether the last group of doses moved the strut less than any such supply would.
    hose_loss_in
        Length lost when the hose is connected for the next dose.
    """

    progress: Progress
    last_exercise: str
    as_read_in: float
    goal: Goal
    low_limit_in: float
    high_limit_in: float
    chance: float
    stiction_in: float
    filling: Calibration | None
    filling_before: Calibration | None
    releasing: Calibration
    releasing_before: Calibration
    counted: str
    reachable: bool | None
    last_falls_short: bool
    hose_loss_in: float


@dataclass(frozen=True, slots=True)
class Decision:
    """What to do next, and what it should do.

    Parameters
    ----------
    next
        The word for it.
    why
        One sentence.
    dose
        The plan of the dose, also where none is to be given; None where nothing was reckoned.
    doses_to_expect
        How many doses the way to the target will take, this one included.
    """

    next: Next
    why: str
    dose: DosePlan | None = None
    doses_to_expect: int | None = None


GONE: Final = Decision(
    Next.STRUT_GONE, "No gas for what stands here now: finish this top-up, and start one where the strut is."
)


def decide(at: Situation) -> Decision:
    """Return what to do next."""
    target, tolerance = float(at.goal.target_in), float(at.goal.tolerance_in)  # type: ignore[arg-type]  # scalars here
    extension = at.progress.extension_in
    started = bool(at.progress.seen or at.progress.pending)
    if not started and not at.progress.exercised and at.as_read_in > ON_STOP_IN:
        why = "The strut was not exercised: friction may hold it away from its true length."
        return Decision(Next.EXERCISE, why)
    if not started and abs(extension - target) <= tolerance:
        return Decision(Next.NOTHING, _why_nothing(at, extension))
    pending = at.progress.pending
    lowering = pending.released if pending else extension > target + tolerance
    if pending and pending.mixed:
        why = "Gas went both ways, or by two pumps, since the strut was exercised: what is hidden cannot be told."
        return Decision(Next.EXERCISE, why)
    missing = _gas_missing(at)
    if missing is not None:
        return missing
    if not lowering and at.filling is None:
        if not pending and extension >= target - tolerance:
            return Decision(Next.DONE, "Within tolerance of the target: stop here.")
        return Decision(Next.NO_EQUIPMENT, "Say what the strut is filled with.")
    if not lowering and at.reachable is False and extension < target - tolerance:
        return Decision(
            Next.CANNOT_REACH,
            "The load on the strut asks for a higher pressure than this equipment can give; no gas would go in.",
        )
    return _lowered(at) if lowering else _filled(at)


def _filled(at: Situation) -> Decision:
    assert at.filling is not None  # noqa: S101  # `decide` has asked for equipment
    pending, filling = at.progress.pending, at.filling
    since = SinceExercise(pending.amount, pending.rise_in) if pending else None
    unit = SMALLEST_SECONDS if at.counted == "seconds" else 1.0

    def planned(start_in: float) -> DosePlan:
        return next_dose(
            max(start_in, 0.0), at.goal, filling, since=since, stiction_in=at.stiction_in, chance=at.chance, unit=unit
        )

    extension = at.progress.extension_in
    plan = planned(extension)
    if at.hose_loss_in and _advice(plan) in (Advice.GIVE, Advice.TOO_COARSE):
        connected = planned(extension - at.hose_loss_in)
        if _advice(connected) is not Advice.GIVE or connected.expected_in <= extension + connected.hidden_in:
            return _left_for_the_hose(at, plan)
        plan, extension = connected, max(extension - at.hose_loss_in, 0.0)
    if _advice(plan) is Advice.GIVE:
        return Decision(
            Next.GIVE,
            "From below, as much as the chance of overshoot allows; then exercise and read.",
            plan,
            max(1, doses_to_expect(extension + float(plan.hidden_in), at.goal, filling, unit=unit)),
        )
    return _without_dose(at, plan, Next.LET_OUT)


def _left_for_the_hose(at: Situation, plan: DosePlan) -> Decision:
    """Say what to do where connecting the hose would take more than the dose that may be given brings."""
    if at.progress.pending:
        return Decision(Next.EXERCISE, "What was given may not show until the strut is exercised.", plan)
    if at.progress.extension_in >= float(at.goal.target_in) - float(at.goal.tolerance_in):  # type: ignore[arg-type]
        return Decision(Next.DONE, "Within tolerance of the target: stop here.", plan)
    why = "The hose would take more than the dose that may be given brings: press it up first, or leave it."
    return Decision(Next.TOO_COARSE, why, plan)


def _lowered(at: Situation) -> Decision:
    pending = at.progress.pending
    since = SinceExercise(pending.amount, -pending.rise_in) if pending else None
    plan = next_release(
        at.progress.extension_in,
        at.goal,
        at.releasing,
        since=since,
        stiction_in=at.stiction_in,
        chance=at.chance,
        unit=SMALLEST_SECONDS,
    )
    if _advice(plan) is Advice.GIVE:
        return Decision(
            Next.LET_OUT,
            "From above, in short bursts: the strut settles late, and gas let out too far has to go in again.",
            plan,
            max(
                1,
                doses_to_expect(
                    at.progress.extension_in - float(plan.hidden_in),
                    at.goal,
                    at.releasing,
                    unit=SMALLEST_SECONDS,
                    planned=next_release,
                ),
            ),
        )
    return _without_dose(at, plan, Next.GIVE)


def _without_dose(at: Situation, plan: DosePlan, other_way: Next) -> Decision:
    match _advice(plan):
        case Advice.STOP_HIDDEN_CHARGE:
            why = "More was given than the length shows: what is hidden would show later and be too much."
            return Decision(Next.HIDDEN_CHARGE, why, plan)
        case Advice.EXERCISE:
            return Decision(Next.EXERCISE, "What was given may not show until the strut is exercised.", plan)
        case Advice.TURN_BACK if at.progress.pending or not at.progress.exercised:
            why = "It stands beyond the target, but was not exercised: look again before going the other way."
            return Decision(Next.EXERCISE, why, plan)
        case Advice.TURN_BACK:
            return Decision(other_way, "It stands beyond the target: go the other way, a little at a time.", plan)
        case Advice.TOO_COARSE:
            why = "One more would probably be too much for the tolerance."
            return Decision(Next.TOO_COARSE, why, plan)
    return Decision(Next.DONE, "Within tolerance of the target: stop here.", plan)


def _gas_missing(at: Situation) -> Decision | None:
    """Find strokes whose rise has not come even after exercise: they must not be given again."""
    if not at.progress.seen or at.progress.pending:
        return None
    last = at.progress.seen[-1]
    if not last.comparable:
        return None  # such as gas in an empty strut, which lifts it only when its pressure carries the load
    known = at.releasing_before if last.released else at.filling_before
    if known is None or last.exercised != at.last_exercise:
        return None
    seen = -last.rise_in if last.released else last.rise_in
    found = surprise(known, last.amount, seen, settled=last.settled)
    short = float(found.expected_in) - seen
    surprising = float(found.chance_of_less) <= TOO_LITTLE and short >= at.stiction_in
    if not surprising and not at.last_falls_short:
        return None
    if last.exercised == "rocked":
        why = "Strokes and length disagree even after rocking: taxi or fly a circuit, then read again before any gas."
        return Decision(Next.HIDDEN_CHARGE, why)
    why = (
        "Strokes and length disagree even after taxi or flight: valve, hose or pump leaks, the strut is bound, or "
        "the strokes were miscounted. A pump smaller than most needs its stroke volume told."
    )
    return Decision(Next.GAS_MISSING, why)


def _why_nothing(at: Situation, extension_in: float) -> str:
    outside = not at.low_limit_in <= at.as_read_in <= at.high_limit_in
    if outside or abs(at.as_read_in - extension_in) > float(at.goal.tolerance_in):  # type: ignore[arg-type]
        return (
            "The length is off only for temperature and load: at the sheet's conditions the strut is right, "
            "and gas given now would be too much later."
        )
    return "The strut is within tolerance of its target."


def _advice(plan: DosePlan) -> Advice:
    return Advice(int(plan.advice))
