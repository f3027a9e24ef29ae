"""Assessing parts: on arrival for one, nightly for all with news. Done twice, it changes nothing."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from itertools import islice
from typing import Final

from django.db.models import F

from calculations.drift import Part, Settings, assess, assess_tyres
from fleet.among import among
from fleet.beside import beside
from fleet.operators.models import Operator
from servicing.drift.conclude import strut_rows, tyre_rows
from servicing.drift.flown import not_yet_flown
from servicing.drift.gather import gather_struts
from servicing.drift.gather_tyres import gather_tyres
from servicing.drift.learning import renew_settings
from servicing.drift.models import StrutStanding, TyreStanding
from servicing.drift.settings import settings_by_part, settings_of
from servicing.drift.standings import queue_aged_standings, waiting_news, write_standings
from servicing.drift.tyre_state import tyre_states
from servicing.drift.work_done import day_of
from servicing.news.models import PartNews

PARTS_AT_ONCE: Final = 1667  # fewer than the computation lays side by side, so that each chunk is one piece of it
CHUNKS_AT_ONCE: Final = 3  # one more than compute on two cores, for one waits for the database


@dataclass(frozen=True, slots=True)
class Swept:
    """What a sweep did."""

    struts: int = 0
    tyres: int = 0
    changes: int = 0

    def __add__(self, other: Swept) -> Swept:
        return Swept(self.struts + other.struts, self.tyres + other.tyres, self.changes + other.changes)


News = Mapping[uuid.UUID, int]  # how much had arrived for each part when that was last looked at


def assess_struts(operator_id: uuid.UUID, strut_ids: Collection[uuid.UUID], *, now: datetime) -> Swept:
    """Assess struts from their whole histories and store what changed."""
    return _assess_struts(
        settings_of(operator_id), operator_id, _news_of("strut_id", operator_id, strut_ids), now=now
    )


def assess_operator_tyres(operator_id: uuid.UUID, tyre_ids: Collection[uuid.UUID], *, now: datetime) -> Swept:
    """Assess tyres from their whole histories and store what changed."""
    settings = settings_of(operator_id, Part.TYRE)
    return _assess_tyres(settings, operator_id, _news_of("tyre_id", operator_id, tyre_ids), now=now)


def _assess_struts(
    settings: Settings, operator_id: uuid.UUID, seen: News, connections: int = 0, *, now: datetime
) -> Swept:
    gathered = gather_struts(operator_id, list(seen), connections=connections)
    found = assess(gathered.histories, now_day=day_of(now), settings=settings)
    unflown = not_yet_flown(operator_id, gathered.places, gathered.done, now=now)
    rows = strut_rows(gathered, found, settings, unflown, now_day=day_of(now))
    changes = write_standings(operator_id, StrutStanding, gathered.places, rows, seen, now=now)
    return Swept(struts=len(rows), changes=changes)


def _assess_tyres(settings: Settings, operator_id: uuid.UUID, seen: News, *, now: datetime) -> Swept:
    gathered = gather_tyres(operator_id, list(seen))
    found = assess_tyres(
        gathered.histories, gathered.tyres, now_day=day_of(now), settings=settings, after_work=gathered.after_work
    )
    rows = tyre_rows(gathered, found, settings, tyre_states(operator_id, gathered, now=now))
    changes = write_standings(operator_id, TyreStanding, gathered.places, rows, seen, now=now)
    return Swept(tyres=len(rows), changes=changes)


def assess_waiting_parts(
    strut_ids: Collection[uuid.UUID], tyre_ids: Collection[uuid.UUID], *, now: datetime
) -> Swept:
    """Assess parts named by a task, whosoever they are, unless they were assessed meanwhile."""
    total = Swept()
    waiting = PartNews.objects.across_operators().filter(arrived__gt=F("assessed"))
    for operator_id, ids in _by_operator(
        waiting.filter(strut_id__in=strut_ids).values_list("operator_id", "strut_id")
    ):
        total += assess_struts(operator_id, ids, now=now)
    for operator_id, ids in _by_operator(waiting.filter(tyre_id__in=tyre_ids).values_list("operator_id", "tyre_id")):
        total += assess_operator_tyres(operator_id, ids, now=now)
    return total


def sweep(*, now: datetime) -> Swept:
    """Assess every part with news, of every operator, in chunks; a part without news costs nothing."""
    total = Swept()
    for operator_id in _operators():
        struts, tyres = waiting_news(operator_id)
        if struts or tyres:
            total += _sweep_operator(settings_by_part(operator_id), operator_id, struts, tyres, now=now)
    return total


def sweep_night(*, now: datetime) -> Swept:
    """Learn what is due, queue what the calendar alone may have changed, and assess everything with news."""
    total = Swept()
    for operator_id in _operators():
        settings = renew_settings(operator_id, now=now)
        queue_aged_standings(operator_id, now=now)
        total += _sweep_operator(settings, operator_id, *waiting_news(operator_id), now=now)
    return total


def _sweep_operator(
    settings: Mapping[Part, Settings], operator_id: uuid.UUID, struts: News, tyres: News, *, now: datetime
) -> Swept:
    # One chunk alone would wait for its readings; of many, one computes while another waits.
    connections = 2 if len(struts) <= PARTS_AT_ONCE else 0
    assess_some_struts = partial(_assess_struts, settings[Part.STRUT], operator_id, connections=connections, now=now)
    assess_some_tyres = partial(_assess_tyres, settings[Part.TYRE], operator_id, now=now)
    return _in_chunks(assess_some_struts, struts) + _in_chunks(assess_some_tyres, tyres)


def _in_chunks(assess_parts: Callable[[News], Swept], news: News) -> Swept:
    parts = iter(news.items())
    chunks = [dict(islice(parts, PARTS_AT_ONCE)) for _ in range(0, len(news), PARTS_AT_ONCE)]
    if len(chunks) < 2:
        return sum(map(assess_parts, chunks), Swept())
    # While the database gathers the readings of one chunk, this process computes on another's.
    with beside([partial(assess_parts, chunk) for chunk in chunks], CHUNKS_AT_ONCE) as assessed:
        return sum(assessed(), Swept())


def _operators() -> list[uuid.UUID]:
    return list(Operator.objects.order_by("id").values_list("id", flat=True))


def _news_of(part: str, operator_id: uuid.UUID, part_ids: Collection[uuid.UUID]) -> dict[uuid.UUID, int]:
    rows = PartNews.objects.of(operator_id).filter(among(part, part_ids))
    return dict(rows.values_list(part, "arrived"))


def _by_operator(pairs: Collection[tuple[uuid.UUID, uuid.UUID]]) -> Iterator[tuple[uuid.UUID, list[uuid.UUID]]]:
    found: dict[uuid.UUID, list[uuid.UUID]] = {}
    for operator_id, part_id in pairs:
        found.setdefault(operator_id, []).append(part_id)
    return iter(found.items())
