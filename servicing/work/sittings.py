"""What a guided top-up leaves in the history: a servicing for the gas of each sitting, and the length at its end."""

import uuid
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any, Final

from fleet.people.actor import Actor
from fleet.people.models import Scope
from servicing.readings.actions import add_strut_reading
from servicing.readings.correcting import withdraw_strut_reading
from servicing.readings.entries import StrutEntry
from servicing.readings.models import StrutReading
from servicing.work.actions import add_servicings, correct_servicing
from servicing.work.models import Counted, Exercise, Servicing, TopUp, TopUpStep, Work
from servicing.work.rows import ServicingRow
from servicing.work.top_up_rows import SAME_SITTING

MORE_DOSES: Final = "more doses came in"
JUST_AFTER: Final = timedelta(seconds=1)  # the length after a dose must not seem to come before it


@dataclass(frozen=True, slots=True)
class Gas:
    """Doses of one kind, by one piece of equipment, with nothing between them."""

    doses: tuple[TopUpStep, ...]
    length_before_in: float

    @property
    def released(self) -> bool:
        """Say whether it was let out."""
        return self.doses[0].released


def sittings_of(steps: Sequence[TopUpStep]) -> list[tuple[TopUpStep, ...]]:
    """Return the steps, in order of time, parted wherever nothing happened for hours."""
    sittings: list[list[TopUpStep]] = []
    for step in steps:
        if not sittings or step.at - sittings[-1][-1].at > SAME_SITTING:
            sittings.append([])
        sittings[-1].append(step)
    return [tuple(sitting) for sitting in sittings]


def record_sittings(*, actor: Actor, now: datetime, top_up: TopUp) -> None:
    """Bring the history up to the steps; done again, it changes only what new steps changed."""
    steps = list(top_up.live_steps)
    length = steps[0].extension_in
    for sitting in sittings_of(steps):
        for gas in _gas_of(sitting, length):
            _record_gas(actor, now, top_up, gas)
        _record_length(actor, now, top_up, sitting)
        length = sitting[-1].extension_in


def _gas_of(sitting: tuple[TopUpStep, ...], length_in: float) -> Iterator[Gas]:
    for _, group in groupby(sitting, key=_kind_of):
        steps = tuple(group)
        if steps[0].amount:
            found = steps[0].extension_before_in
            yield Gas(steps, length_in if found is None else found)
        length_in = steps[-1].extension_in


def _kind_of(step: TopUpStep) -> tuple[bool, uuid.UUID | None, str] | None:
    return (step.released, step.equipment_id, step.counted) if step.amount else None


def _record_gas(actor: Actor, now: datetime, top_up: TopUp, gas: Gas) -> None:
    last = gas.doses[-1]
    row = ServicingRow(
        leg_id=top_up.leg_id,
        done_at=last.at,
        work=Work.GAS_RELEASED if gas.released else Work.GAS_ADDED,
        extension_before_in=gas.length_before_in,
        extension_after_in=last.extension_in,
        temperature_f=last.temperature_f,
        # A servicing has strokes or cycles; seconds of an open valve are neither.
        strokes=None if last.counted == Counted.SECONDS else sum(step.amount for step in gas.doses),
        equipment_id=last.equipment_id,
        done_by=_person_name(last),
        note="guided top-up",
        top_up_id=top_up.id,
        id=_gas_id(top_up, gas.doses[0]),
    )
    known = _written(top_up, gas)
    if not known:
        add_servicings(actor=actor, now=now, rows=[row])
        return
    written, *joined = known
    for other in joined:  # a late dose has made one of two
        if not other[-1].withdrawn:
            correct_servicing(actor=actor, now=now, servicing_id=other[-1].id, row=None, reason=MORE_DOSES)
    # What a person put right since is left alone until more doses come in.
    ours = [servicing for servicing in written if servicing.correction_reason in ("", MORE_DOSES)][-1]
    if _said(ours) != _said(row) or ours.withdrawn:
        correct_servicing(actor=actor, now=now, servicing_id=written[-1].id, row=row, reason=MORE_DOSES)
    _take_back_lengths(actor, now, top_up, gas.doses[:-1])


def _said(gas: Servicing | ServicingRow) -> tuple[Any, ...]:
    return gas.done_at, gas.strokes, gas.extension_before_in, gas.extension_after_in


def _take_back_lengths(actor: Actor, now: datetime, top_up: TopUp, steps: Sequence[TopUpStep]) -> None:
    """Take back lengths that would stand before the servicing whose gas made them: it ends later now."""
    ids = [length_id(top_up, step) for step in steps]
    rows = StrutReading.objects.of(top_up.operator_id).filter(pk__in=ids, superseded=False, withdrawn=False)
    for reading in rows:
        withdraw_strut_reading(
            actor=_reporter(actor),
            now=now,
            reading_id=reading.id,
            withdrawal_id=uuid.uuid5(top_up.id, f"length {reading.id} taken back"),
            reason=MORE_DOSES,
        )


def _record_length(actor: Actor, now: datetime, top_up: TopUp, sitting: tuple[TopUpStep, ...]) -> None:
    last = sitting[-1]
    entry = StrutEntry(
        id=length_id(top_up, last),
        leg_id=top_up.leg_id,
        taken_at=last.at + JUST_AFTER if last.amount else last.at,
        extension_in=last.extension_in,
        as_read={name: value for name, value in last.as_read.items() if name != "extension_before"},
        temperature_f=last.temperature_f,
        fuel_lb=last.fuel_lb,
        occupants_lb=last.occupants_lb,
        exercised=last.exercised != Exercise.NOT,
        taken_by=_person_name(last),
        note="guided top-up",
    )
    add_strut_reading(actor=_reporter(actor), now=now, entry=entry)


def _reporter(actor: Actor) -> Actor:
    # Whoever may record work may record the length that goes with it.
    return replace(actor, scopes=actor.scopes | {Scope.REPORT})


def _written(top_up: TopUp, gas: Gas) -> list[list[Servicing]]:
    """Return each servicing written down of any of the doses, followed by the rows that put it right."""
    servicings = Servicing.objects.of(top_up.operator_id)
    first = servicings.in_bulk([_gas_id(top_up, dose) for dose in gas.doses])
    chains = [[first[number]] for dose in gas.doses if (number := _gas_id(top_up, dose)) in first]
    for rows in chains:
        while rows[-1].superseded:
            rows.append(servicings.get(corrects=rows[-1]))
    return chains


def _gas_id(top_up: TopUp, first: TopUpStep) -> uuid.UUID:
    return uuid.uuid5(top_up.id, f"gas from {first.id}")


def length_id(top_up: TopUp, step: TopUpStep) -> uuid.UUID:
    """Return the id of the reading that a step leaves where its sitting ends with it."""
    return uuid.uuid5(top_up.id, f"length at {step.id}")


def _person_name(step: TopUpStep) -> str:
    return step.person.name if step.person else ""
