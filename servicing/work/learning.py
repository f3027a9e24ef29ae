"""The rise per stroke of one pump on one strut, learned from what was ever written down of the two."""

import uuid
from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

from django.db.models import Prefetch, Q

from calculations.dosing import Calibration, DoseLog, falls_short, learn
from calculations.supply.demand import RestingStrut
from fleet.equipment.models import Equipment
from servicing.readings.figures import sheet_figures
from servicing.readings.known_fleet import load_known_fleet
from servicing.work.models import Servicing, TopUp, TopUpStep
from servicing.work.segments import DoseSeen, Progress, is_on_stop, learned_from
from servicing.work.sittings import MORE_DOSES
from servicing.work.supplies import same_gas_in, strut_of_sheet

LEARNED_TOP_UPS: Final = 20  # of the past, that the rise per stroke is learned from


def past_doses(
    top_up: TopUp, equipment: Equipment | None, full_extension_in: float, here: RestingStrut
) -> list[DoseSeen]:
    """Return what doses did to the strut of a top-up before it, by guided top-ups and by work without guidance.

    What they did on another leg is told as the same gas would move the strut ``here``, as its sheet has it.
    """
    earlier = TopUp.objects.of(top_up.operator_id).filter(strut=top_up.strut).exclude(pk=top_up.pk)
    # What a person put right since goes before the steps.
    newest = earlier.exclude(pk__in=_put_right(top_up)).order_by("-started_at")[:LEARNED_TOP_UPS]
    seen_on: list[tuple[uuid.UUID, DoseSeen]] = []
    live = TopUpStep.objects.of(top_up.operator_id).filter(superseded=False, withdrawn=False)
    for one in newest.prefetch_related(Prefetch("steps", live.order_by("at", "sequence"))):
        steps = list(one.steps.all())
        groups = learned_from([steps], full_extension_in)
        seen_on += [(one.leg_id, without_hose_if_filled(one, seen)) for seen in groups]
    if equipment:
        seen_on += _written_down(top_up, equipment, full_extension_in)
    elsewhere = {leg_id for leg_id, _ in seen_on} - {top_up.leg_id}
    struts = _struts_on(top_up.operator_id, elsewhere) if elsewhere else {}
    return [_as_here(seen, struts.get(leg_id, here), here) for leg_id, seen in seen_on]


def _struts_on(operator_id: uuid.UUID, leg_ids: set[uuid.UUID]) -> dict[uuid.UUID, RestingStrut]:
    legs = load_known_fleet(operator_id, leg_ids=leg_ids, with_equipment=False).legs
    return {leg_id: strut_of_sheet(sheet_figures([leg])) for leg_id, leg in legs.items()}


def _as_here(dose: DoseSeen, there: RestingStrut, here: RestingStrut) -> DoseSeen:
    return dose if there is here else replace(dose, rise_in=same_gas_in(dose.rise_in, there, here))


def without_hose_if_filled(top_up: TopUp, dose: DoseSeen) -> DoseSeen:
    """Return a dose of a top-up; a hose that was filled first takes nothing away."""
    return replace(dose, hose_connections=0) if top_up.hose_filled_first else dose


def is_of(equipment: Equipment | None, dose: DoseSeen) -> bool:
    """Say whether equipment put the gas of a dose in."""
    return equipment is not None and not dose.released and dose.equipment_id == equipment.id


def hose_given_back(dose: DoseSeen, hose_loss_in: float) -> DoseSeen:
    """Return what a dose did without what connecting the hose took away."""
    return replace(dose, rise_in=dose.rise_in + dose.hose_connections * hose_loss_in)


def without_hose(progress: Progress, top_up: TopUp, equipment: Equipment | None, hose_loss_in: float) -> Progress:
    """Return where a top-up stands, its doses without what the hose of the equipment took away.

    What another pump has left hidden cannot be reckoned by this one: it counts as mixed.
    """

    def given_back(dose: DoseSeen) -> DoseSeen:
        dose = without_hose_if_filled(top_up, dose)
        return hose_given_back(dose, hose_loss_in) if is_of(equipment, dose) else dose

    pending = given_back(progress.pending) if progress.pending else None
    if pending and not pending.released and not is_of(equipment, pending):
        pending = replace(pending, mixed=True)
    return replace(progress, seen=tuple(map(given_back, progress.seen)), pending=pending)


def learned(prior: Calibration, doses: Sequence[DoseSeen]) -> Calibration:
    """Return what is known of the rise per unit after doses."""
    taught = believed(prior, doses)
    return learn(prior, _log_of(taught)) if taught else prior


def believed(prior: Calibration, doses: Sequence[DoseSeen]) -> list[DoseSeen]:
    """Return the doses that teach something: not on a stop, not mixed, and strokes and length agree."""
    return _long_enough(prior, [dose for dose in doses if dose.teaches])


def last_falls_short(progress: Progress, filling: Calibration | None, releasing: Calibration) -> bool:
    """Say whether the last group of doses moved the strut less than any such supply would."""
    last = progress.seen[-1] if progress.seen else None
    prior = releasing if last and last.released else filling
    if last is None or prior is None or not last.comparable:
        return False
    moved = replace(last, rise_in=-last.rise_in) if last.released else last
    return not _long_enough(prior, [moved])


def _long_enough(prior: Calibration, doses: Sequence[DoseSeen]) -> list[DoseSeen]:
    if not doses:
        return []
    return [dose for dose, short in zip(doses, falls_short(prior, _log_of(doses)), strict=True) if not short]


def _log_of(doses: Sequence[DoseSeen]) -> DoseLog:
    return DoseLog(
        [dose.amount for dose in doses], [dose.rise_in for dose in doses], [dose.settled for dose in doses]
    )


def _put_right(top_up: TopUp) -> Any:
    """Return the top-ups of the strut whose gas a person corrected afterwards."""
    corrected = Servicing.objects.of(top_up.operator_id).filter(
        strut=top_up.strut, top_up__isnull=False, corrects__isnull=False
    )
    return corrected.exclude(correction_reason=MORE_DOSES).values("top_up")


def _written_down(top_up: TopUp, equipment: Equipment, full_extension_in: float) -> list[tuple[uuid.UUID, DoseSeen]]:
    """Return what servicings taught: strokes with a length before and after."""
    rows = Servicing.objects.of(top_up.operator_id).filter(
        Q(top_up__isnull=True) | Q(top_up__in=_put_right(top_up)),
        strut=top_up.strut,
        equipment=equipment,
        work="gas added",
        superseded=False,
        withdrawn=False,
        strokes__gt=0,
        extension_before_in__isnull=False,
        extension_after_in__isnull=False,
    )
    rows = rows.exclude(top_up=top_up).select_related("top_up").order_by("-done_at")
    return [(row.leg_id, _dose_written(row, full_extension_in)) for row in rows[:LEARNED_TOP_UPS]]


def _dose_written(row: Servicing, full_extension_in: float) -> DoseSeen:
    before, after = row.extension_before_in or 0.0, row.extension_after_in or 0.0
    return DoseSeen(
        amount=row.strokes or 0.0,
        rise_in=after - before,
        hose_connections=0 if row.top_up and row.top_up.hose_filled_first else 1,
        settled=False,
        released=False,
        equipment_id=row.equipment_id,
        exercised="not",
        on_stop=is_on_stop(before, full_extension_in) or is_on_stop(after, full_extension_in),
    )
