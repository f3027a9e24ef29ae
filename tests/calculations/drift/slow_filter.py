"""The drift filter once more: one strut and one reading at a time, in plain Python.

Written from what the package's docstrings promise, not from its arrays: matrices are lists, and the covariance is
updated in Joseph's form.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from calculations.drift import FleetHabits, Histories
from calculations.drift.model import DriftModel

DAYS_PER_MONTH = 30.44
KEPT_OUT_WEIGHT = 1e-3
STATES = range(5)


@dataclass
class Reading:
    """One possible reading with the servicing since the one before it."""

    day: float
    value: float
    row: list[float]
    variance: float
    resting: bool
    elapsed_months: float
    reopen_variance: float
    settle_variance: float
    restarts: bool


@dataclass
class Told:
    """What is known after one reading."""

    level: float
    level_before: float
    level_variance: float
    surprise: float
    weight: float
    outlier: bool
    confirmed: bool
    doubted: bool
    innovation: float
    sd: float
    gain: list[float]


def readings_of(histories: Histories, series: int, model: DriftModel, habits: FleetHabits) -> Iterator[Reading]:
    """Yield the possible readings of one strut, as the model takes them."""
    struts, readings, work = histories.struts, histories.readings, histories.work
    thermal = float(struts.temperature_slope_in_per_f[series])
    loading = float(struts.load_slope_in_per_lbf[series])
    full = float(struts.full_extension_in[series])
    done = [(float(work.day[i]), int(work.kind[i])) for i in range(len(work.day)) if work.series[i] == series]
    effect = {int(kind): baseline for kind, baseline in model.baselines.items() if baseline.reopen_sd > 0}
    done = [(day, kind) for day, kind in done if kind in effect]
    first = previous = None
    for i in range(int(histories.offsets[series]), int(histories.offsets[series + 1])):
        raw, day = float(readings.raw_in[i]), float(readings.day[i])
        if not raw > 0 or raw > 1.15 * full:
            continue
        turn = 2 * math.pi * day / 365.25
        season = habits.season_mean_f + habits.season_cos_f * math.cos(turn) + habits.season_sin_f * math.sin(turn)
        warmth, load = float(readings.temperature_offset_f[i]), float(readings.load_offset_lbf[i])
        believed_warmth = season + habits.temperature_trust * (warmth - season)
        believed_load = habits.usual_load_lbf + habits.load_trust * (load - habits.usual_load_lbf)
        resting = not readings.exercised[i]
        friction = model.friction_resting_sd if resting else model.friction_exercised_sd
        parts = (
            model.reader_sd,
            float(readings.scale_in[i]) / math.sqrt(12),
            thermal * float(readings.temperature_sd_f[i]),
            loading * float(readings.load_sd_lbf[i]),
            friction,
        )
        since = [effect[kind] for when, kind in done if when < day and (previous is None or when >= previous)]
        earlier = [when for when, _ in done if when < day]
        settling = math.exp(-(day - max(earlier)) / model.settle_days) if earlier else 0.0
        is_first = first is None
        first = day if first is None else first
        yield Reading(
            day=day,
            value=float(readings.corrected_in[i])
            + thermal * (warmth - believed_warmth)
            + loading * (load - believed_load),
            row=[1.0, (day - first) / DAYS_PER_MONTH, believed_warmth, believed_load, settling],
            variance=sum(part * part for part in parts),
            resting=resting,
            elapsed_months=0.0 if previous is None else (day - previous) / DAYS_PER_MONTH,
            reopen_variance=0.0 if is_first else max((b.reopen_sd**2 for b in since), default=0.0),
            settle_variance=max((b.settle_sd**2 for b in since), default=0.0),
            restarts=not is_first and any(b.restarts for b in since),
        )
        previous = day


class Filter:
    """A robust Kalman filter on one strut."""

    def __init__(self, histories: Histories, series: int, model: DriftModel, habits: FleetHabits) -> None:
        struts = histories.struts
        self.model = model
        self.state = [float(struts.target_in[series]), habits.seep_mean_per_month, 0.0, 0.0, 0.0]
        sds = (
            model.first_level_sd,
            habits.seep_sd_per_month,
            float(struts.temperature_slope_sd[series]),
            float(struts.load_slope_sd[series]),
            0.0,
        )
        self.covariance = [[sds[i] ** 2 if i == j else 0.0 for j in STATES] for i in STATES]
        factors = habits.noise_factor_exercised, habits.noise_factor_resting
        self.noise_count = [habits.noise_prior_count] * 2
        self.noise_sum = [habits.noise_prior_count * factor for factor in factors]
        self.held = 0.0
        self.support = 0
        self.excuses = model.excuses

    def take(self, reading: Reading) -> Told:
        """Take one reading."""
        model, h, p = self.model, reading.row, self.covariance
        p[0][0] += model.level_walk_per_month**2 * reading.elapsed_months
        before = self.held
        if reading.reopen_variance > 0:
            p[0][0] += reading.reopen_variance
            before = 0.0
            self.support = 0
        if reading.settle_variance > 0:
            self.state[4] = 0.0
            for i in STATES:
                p[i][4] = p[4][i] = 0.0
            p[4][4] = reading.settle_variance
        kind = int(reading.resting)
        factor = self.noise_sum[kind] / self.noise_count[kind]
        noise = reading.variance * factor
        innovation = reading.value - sum(h[i] * self.state[i] for i in STATES)
        sd = math.sqrt(self._explained(h) + noise)
        excused_sd = math.sqrt(noise + model.level_excuses * self._explained(h))
        outlier = innovation / sd > model.outlier_above or innovation / excused_sd < -model.outlier
        lesser, greater = sorted((innovation / sd, before))
        if outlier and innovation > 0 and before > 0 and lesser > model.agreeing_share * greater:
            # Two high readings in a row: somebody added gas and wrote nothing down.
            p[0][0] += model.unrecorded_top_up_sd**2
            sd = math.sqrt(self._explained(h) + noise)
            outlier = False
            self.support = 0
            self.excuses = model.excuses
        surprise = innovation / sd
        weight = KEPT_OUT_WEIGHT if outlier else min(1.0, model.huber / max(abs(surprise), 1e-300))
        inflated = noise / weight
        total = self._explained(h) + inflated
        gain = [sum(p[i][j] * h[j] for j in STATES) / total for i in STATES]
        level_before = self.state[0] + self.state[1] * h[1]
        self.state = [self.state[i] + gain[i] * innovation for i in STATES]
        self._shrink(gain, h, inflated)
        doubted = 1 <= self.support <= model.doubted_readings and abs(surprise) > model.doubtful
        if doubted:
            self.covariance[0][0] += model.doubted_level_sd**2
            doubted = self.excuses > 0
            self.excuses -= doubted
        self.support += not outlier
        self.noise_sum[kind] *= model.noise_forgetting
        self.noise_sum[kind] += factor * min(surprise * surprise, model.noise_clip)
        self.noise_count[kind] = self.noise_count[kind] * model.noise_forgetting + 1
        self.held = surprise if outlier else 0.0
        p, month = self.covariance, h[1]
        return Told(
            level=self.state[0] + self.state[1] * month,
            level_before=level_before,
            level_variance=p[0][0] + 2 * month * p[0][1] + month * month * p[1][1],
            surprise=surprise,
            weight=weight,
            outlier=outlier,
            confirmed=surprise * before > 0
            and abs(surprise) > max(model.agreeing, model.agreeing_share * abs(before)),
            doubted=doubted,
            innovation=innovation,
            sd=sd,
            gain=gain,
        )

    def _explained(self, h: list[float]) -> float:
        return sum(h[i] * self.covariance[i][j] * h[j] for i in STATES for j in STATES)

    def _shrink(self, gain: list[float], h: list[float], noise: float) -> None:
        """Joseph's form: (I - k h) P (I - k h)' + k r k', which any gain may be put into."""
        left = [[float(i == j) - gain[i] * h[j] for j in STATES] for i in STATES]
        half = [[sum(left[i][m] * self.covariance[m][j] for m in STATES) for j in STATES] for i in STATES]
        self.covariance = [
            [sum(half[i][m] * left[j][m] for m in STATES) + gain[i] * noise * gain[j] for j in STATES] for i in STATES
        ]


def follow(histories: Histories, series: int, model: DriftModel, habits: FleetHabits) -> tuple[list[Told], Filter]:
    """Follow one strut through its history."""
    strut = Filter(histories, series, model, habits)
    return [strut.take(reading) for reading in readings_of(histories, series, model, habits)], strut
