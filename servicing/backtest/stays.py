"""Each strut's history as it was judged on one leg after another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf

import numpy as np
import numpy.typing as npt

from calculations.drift import Histories
from servicing.drift.gather import StrutHistories, sheet_key, struts_at
from servicing.drift.places import Place
from servicing.drift.work_done import day_of


@dataclass(frozen=True, slots=True)
class AsJudged:
    """Histories, once for each sheet that a strut was judged by, as :func:`calculations.drift.replay` takes them."""

    places: list[Place]
    since_day: npt.NDArray[np.float64]
    histories: Histories


def as_judged(gathered: StrutHistories) -> AsJudged:
    """Return the histories with limits, figures and target of the leg that the strut was on at the time."""
    index, since, places = zip(
        *((index, *then) for index, place in enumerate(gathered.places) for then in _places_then(place)), strict=True
    )
    histories, then = gathered.histories.select(np.array(index)), struts_at(places)
    readings = histories.readings
    # Lengths are counted from the latest leg's target; here each history counts from its own leg's.
    raised = (then.target_in - histories.struts.target_in)[readings.series]
    readings = replace(
        readings,
        corrected_in=readings.corrected_in + raised,
        raw_in=np.where(readings.raw_in > 0.0, readings.raw_in + raised, 0.0),
    )
    return AsJudged(list(places), np.array(since), replace(histories, readings=readings, struts=then))


def _places_then(place: Place) -> Iterator[tuple[float, Place]]:
    """Yield the place as it was known under each sheet, oldest first, and the day from which on that held."""
    stays = place.stays
    moves = [n for n, (old, new) in enumerate(pairwise(stays), 1) if sheet_key(old.leg) != sheet_key(new.leg)]
    for begin, end in pairwise([0, *moves, len(stays)]):
        since = day_of(stays[begin].since) if begin else -inf
        yield since, replace(place, leg=stays[end - 1].leg, stays=stays[:end])
