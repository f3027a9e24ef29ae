"""The drift bank once more: every leak that might have begun, followed by itself, in plain Python."""

import math
from dataclasses import dataclass

from calculations.drift import FleetHabits, Histories
from calculations.drift.model import DriftModel
from tests.calculations.drift.slow_filter import DAYS_PER_MONTH, STATES, Filter, Reading, Told, readings_of

BEYOND_DOUBT = 80.0


@dataclass
class Leak:
    """One possible leak: its onset, the filter's answer to a unit leak, and the loss under each rate."""

    onset: float
    answer: list[float]
    loss: list[float]


class Leaks:
    """Every leak that might have begun, each followed by itself; ``born`` is keyed by the number of its onset."""

    def __init__(self, model: DriftModel) -> None:
        self.model = model
        self.born: dict[int, Leak] = {}
        self.remembered: Leak | None = None
        self.quiet = 0.0
        self.first_day = self.repaired = 0.0
        total = sum(model.rate_weights)
        self.weights = [weight / total / model.slots for weight in model.rate_weights]

    def take(self, reading: Reading, told: Told) -> float:
        """Weigh one reading under every leak; return ln of the mean likelihood ratio against none."""
        self._renew(reading)
        leaks = [*self.born.values(), *([self.remembered] if self.remembered else [])]
        self.weigh(leaks, reading, told)
        unborn = self.model.slots - len(leaks)
        ratio = sum(
            weight * math.exp(self.quiet - loss)
            for leak in leaks
            for weight, loss in zip(self.weights, leak.loss, strict=True)
        )
        return min(math.log(ratio + unborn * sum(self.weights)), BEYOND_DOUBT)

    def of_each_rate(self) -> list[float]:
        """Return what leaks of each rate add to the mean over those begun, of them with history or repair but one."""
        leaks = [leak for leak in self.born.values() if leak.onset > self.repaired]
        leaks += [self.remembered] if self.remembered else []
        return [
            sum(weight * math.exp(min(self.quiet - leak.loss[rate], BEYOND_DOUBT)) for leak in leaks)
            * (self.model.slots / max(len(leaks), 1))
            for rate, weight in enumerate(self.weights)
        ]

    def weigh(self, leaks: list[Leak], reading: Reading, told: Told) -> None:
        """Add what one reading tells of each leak, and of none."""
        shapes = [self.shape(leak, reading, told) for leak in leaks]
        error, bound = told.innovation / self.sd(told), self.model.leak_bound
        if told.confirmed and error < 0:
            bound = self.model.outlier
            error = max(error, -bound)
        self.quiet += truncated(error, bound)
        for leak, shape in zip(leaks, shapes, strict=True):
            for number, rate in enumerate(self.model.rates_per_month):
                leak.loss[number] += truncated(error - rate * shape, bound)

    def _renew(self, reading: Reading) -> None:
        first = not self.born
        self.first_day = reading.day if first else self.first_day
        day = reading.day - self.first_day
        if reading.restarts:
            self.born, self.remembered, self.repaired = {}, None, day
        newest = int(day // self.model.slot_days)
        window = range(max(newest - self.model.slots + 2, 0), newest + 1)
        if self.remembered is None:
            self.remembered = self._begin(0)
        for number in sorted(set(self.born) - set(window)):
            leak = self.born.pop(number)
            if self._best(leak) > self._best(self.remembered):
                self.remembered = leak
        for number in window:
            if number not in self.born:
                self.born[number] = self._begin(number)

    def _best(self, leak: Leak) -> float:
        """Return ln of the likelihood ratio of its best rate, prior weight included."""
        return max(math.log(weight) - loss for weight, loss in zip(self.weights, leak.loss, strict=True))

    def _begin(self, number: int) -> Leak:
        onset = max(number * self.model.slot_days, self.repaired)
        return Leak(onset, [0.0] * 5, [self.quiet] * len(self.weights))

    def shape(self, leak: Leak, reading: Reading, told: Told) -> float:
        """Return what a unit leak would have done to the standardised innovation."""
        if reading.settle_variance > 0:
            leak.answer[4] = 0.0
        lost = -max(reading.day - self.first_day - leak.onset, 0.0) / DAYS_PER_MONTH
        moved = lost - sum(reading.row[i] * leak.answer[i] for i in STATES)
        leak.answer = [leak.answer[i] + told.gain[i] * moved for i in STATES]
        return moved / self.sd(told)

    def sd(self, told: Told) -> float:
        """Return by what an innovation is standardised: of one in doubt, as wide as its level is opened."""
        return math.hypot(told.sd, self.model.doubted_level_sd * told.doubted)


def truncated(error: float, bound: float) -> float:
    """Half the square of the error, or of the bound if that is nearer."""
    return min(error * error, bound * bound) / 2


def evidence_of(histories: Histories, series: int, model: DriftModel, habits: FleetHabits) -> list[float]:
    """Return the evidence of a leak after every reading of one strut."""
    strut, leaks = Filter(histories, series, model, habits), Leaks(model)
    return [leaks.take(reading, strut.take(reading)) for reading in readings_of(histories, series, model, habits)]


def of_each_rate(histories: Histories, series: int, model: DriftModel, habits: FleetHabits) -> list[float]:
    """Return what leaks of each rate add to the mean likelihood ratio after the last reading of one strut."""
    strut, leaks = Filter(histories, series, model, habits), Leaks(model)
    for reading in readings_of(histories, series, model, habits):
        leaks.take(reading, strut.take(reading))
    return leaks.of_each_rate()


def log_ratios_of(
    histories: Histories, series: int, model: DriftModel, habits: FleetHabits, onset_day: float
) -> list[float]:
    """Return ln of the likelihood ratio of one leak at each rate against none, by all readings of one strut."""
    strut, leaks = Filter(histories, series, model, habits), Leaks(model)
    readings = list(readings_of(histories, series, model, habits))
    leaks.first_day = readings[0].day
    leak, ratios = Leak(onset_day - leaks.first_day, [0.0] * 5, []), [0.0] * len(model.rates_per_month)
    told = [strut.take(reading) for reading in readings]
    for reading, tells, follows in zip(readings, told, [*told[1:], None], strict=True):
        shape, error = leaks.shape(leak, reading, tells), tells.innovation / leaks.sd(tells)
        waits = tells.outlier and not tells.confirmed and not (follows and follows.confirmed)
        for number, rate in enumerate(model.rates_per_month):
            if not waits:
                ratios[number] += huber(error, model.look_huber) - huber(error - rate * shape, model.look_huber)
    return ratios


def huber(error: float, bound: float) -> float:
    """A square within the bound, a straight line outside."""
    size = abs(error)
    return size * size / 2 if size <= bound else bound * (size - bound / 2)
