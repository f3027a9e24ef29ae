"""A gauge's calibrations: until when each held, and on which day the next was done."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from fleet.equipment.models import Equipment
from fleet.refusals import FieldFault

Renewals = list[list[str | None]]


def faults_of_calibration(figures: Mapping[str, Any], today: date) -> list[FieldFault]:
    """Return why a calibration cannot have been on the day given; ``today`` is the operator's own."""
    done, due = figures.get("calibrated_on"), figures.get("calibration_due")
    faults = []
    if done and done > today:
        message = f"must not lie ahead of today, {today.isoformat()}"
        faults.append(FieldFault("calibrated_on", "in_the_future", message))
    if done and due and done > due:
        message = f"must not lie after calibration_due, {due.isoformat()}"
        faults.append(FieldFault("calibrated_on", "after_due", message))
    return faults


def renewals_with(gauge: Equipment, changes: Mapping[str, Any]) -> Renewals:
    """Return the renewals of a gauge's calibration after a change of its days.

    A later day with another due date is a renewal. A day alone, or an earlier one, puts the last calibration right,
    or says when one was whose due date alone was given.
    """
    done_before, due_before = gauge.calibrated_on, gauge.calibration_due
    done, due = changes.get("calibrated_on", done_before), changes.get("calibration_due", due_before)
    renewals = [list(pair) for pair in gauge.calibration_renewals]
    later = done is not None and (done_before is None or done > done_before)
    if due != due_before and due_before and (later or done == done_before):
        return [*renewals, [due_before.isoformat(), done.isoformat() if done and later else None]]
    # The one whose day was never said, or was said wrongly.
    said = None if later and renewals and renewals[-1][1] is None else done_before and done_before.isoformat()
    meant = [pair for pair in renewals if pair[1] == said]
    if done and meant:
        meant[-1][1] = done.isoformat()
    return renewals


def lapsed(gauge: Equipment, on: date) -> bool:
    """Say whether a day lies between the end of one calibration and the renewal that followed too late."""
    day = on.isoformat()
    return any(renewed is not None and due < day < renewed for due, renewed in gauge.calibration_renewals)
