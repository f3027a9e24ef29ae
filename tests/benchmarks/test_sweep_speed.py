"""What assessing a large fleet costs, against fetching its rows and against regressions one by one, in the same run.

Run alone, with ``DATABASE_URL`` set to a PostgreSQL server: ``pytest -m benchmark -s tests/benchmarks``.
"""

import itertools
import time
import uuid
from collections.abc import Callable
from datetime import timedelta

import pytest
import statsmodels.api as sm
from django.db import connection
from django.db.models import F

from calculations.drift import Histories, assess
from deploy.warming import warm_up
from fleet.aircraft.models import Aircraft, Leg, Position
from fleet.among import among
from fleet.gear.models import Strut, StrutInstallation
from fleet.operators.models import Operator
from servicing.drift.actions import assess_struts, sweep, sweep_night
from servicing.drift.gather import gather_struts
from servicing.news.models import PartNews
from tests.builders.drift import FIRST_DAY, store_in_bulk
from tests.builders.fleet import LONG_AGO, a_type_sheet, an_operator, next_id, next_number
from tests.simulator import MAIN, Scenario, simulate
from tests.simulator.as_histories import histories_of

pytestmark = pytest.mark.benchmark
READINGS_PER_MONTH = (8.3, 8.4)  # two hundred in the two years of a history
SOUND, LEAKING = 9800, 200
LAST_DAY = FIRST_DAY + timedelta(days=731)
TRIES, MEASURED_FOR = 3, 2.0


def best_of(work: Callable[[], object], before: Callable[[], object] = lambda: None) -> float:
    """Return the shortest time of a few [s]; of short ones more, for a disturbance is a greater part of them."""
    times: list[float] = []
    while len(times) < TRIES or sum(times) < MEASURED_FOR:
        before()
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def a_large_fleet(operator: Operator) -> None:
    sheet = a_type_sheet(
        operator,
        target_extension_in=MAIN.target_in,
        low_limit_in=MAIN.target_in - 0.5,
        high_limit_in=MAIN.target_in + 0.5,
        full_extension_in=MAIN.full_extension_in,
        reference_load_lbf=MAIN.reference_load_lbf,
        tube_diameter_in=MAIN.tube_diameter_in,
        gas_column_in=MAIN.gas_column_in,
        fluid_volume_in3=MAIN.fluid_in3,
    )
    for count, leak, seed in ((SOUND, 0.0, 5), (LEAKING, 0.1, 6)):
        planes = [
            Aircraft(id=next_id(), operator=operator, registration=f"XX-{next_number():06}", created_at=LONG_AGO)
            for _ in range(count)
        ]
        legs = [
            Leg(id=next_id(), operator=operator, aircraft=plane, position=Position.LEFT_MAIN, sheet=sheet)
            for plane in planes
        ]
        struts = [Strut(id=next_id(), operator=operator, serial_number=f"S{next_number():06}") for _ in legs]
        for rows in (planes, legs, struts):
            type(rows[0])._default_manager.bulk_create(rows)
        StrutInstallation.objects.bulk_create(
            StrutInstallation(
                id=next_id(), operator=operator, strut=strut, leg=leg, installed_at=FIRST_DAY - timedelta(days=1)
            )
            for strut, leg in zip(struts, legs, strict=True)
        )
        scenario = Scenario(struts=count, readings_per_month=READINGS_PER_MONTH, leak_in_per_month=leak)
        parts = [(strut.id, leg.id) for strut, leg in zip(struts, legs, strict=True)]
        store_in_bulk(operator.id, simulate(scenario, seed), parts)


def bare_fetch() -> int:
    """Fetch what an assessment needs of every reading, and nothing else, by binary COPY."""
    columns = (
        "id, strut_id, taken_at, extension_in, corrected_in, temperature_used_f, temperature_sd_f, load_lbf, "
        "load_sd_lbf, scale_in, exercised, fluid_seen, fluid_level, observations"
    )
    query = f"COPY (SELECT {columns} FROM servicing_strut_reading) TO STDOUT (FORMAT BINARY)"
    with connection.cursor() as cursor, cursor.cursor.copy(query) as copy:
        return sum(1 for _ in copy)


def news_of(operator_id: uuid.UUID, strut_ids: list[uuid.UUID]) -> Callable[[], object]:
    rows = PartNews.objects.of(operator_id).filter(among("strut_id", strut_ids))
    return lambda: rows.update(arrived=F("arrived") + 1)


@pytest.mark.django_db(transaction=True)
def test_a_sweep_against_the_bare_fetch_of_its_rows() -> None:
    if connection.vendor != "postgresql":
        pytest.skip("compares with COPY; set DATABASE_URL to a PostgreSQL server")
    operator = an_operator()
    a_large_fleet(operator)
    with connection.cursor() as cursor:
        cursor.execute("VACUUM ANALYZE")  # else the server does it by itself while the clock runs
    warm_up()  # as a worker is before its first task, which has no traces of making a fleet either
    strut_ids = list(Strut.objects.of(operator).order_by("id").values_list("id", flat=True))
    sweep_night(now=LAST_DAY)  # once, so that the noise is learned and every standing is there

    fetch = best_of(bare_fetch)
    everything = best_of(lambda: sweep(now=LAST_DAY), news_of(operator.id, strut_ids))
    tomorrow = LAST_DAY + timedelta(days=1)
    sweep_night(now=tomorrow)  # what the calendar changes is yesterday's news
    night = best_of(lambda: sweep_night(now=tomorrow), news_of(operator.id, strut_ids[::50]))
    one = best_of(lambda: assess_struts(operator.id, strut_ids[:1], now=LAST_DAY))
    histories = gather_struts(operator.id, strut_ids[:1]).histories
    computed = best_of(lambda: assess(histories, now_day=20000.0))

    print(f"\nbare fetch of {bare_fetch():,} readings {fetch:.2f} s")  # noqa: T201
    print(f"sweep of {len(strut_ids):,} struts {everything:.2f} s, {everything / fetch:.2f} x the fetch")  # noqa: T201
    print(f"night with news on 2 % {night:.3f} s, {100 * night / everything:.1f} % of the sweep")  # noqa: T201
    print(f"one strut {1000 * one:.0f} ms, of which computing {1000 * computed:.0f} ms")  # noqa: T201
    assert everything <= 2.0 * fetch
    assert night <= 0.04 * everything
    assert computed < 0.020


def test_the_kernel_against_regressions_one_by_one() -> None:
    histories = histories_of(simulate(Scenario(struts=3000, readings_per_month=READINGS_PER_MONTH), 7))
    assess(histories, now_day=731.0)

    kernel = best_of(lambda: assess(histories, now_day=731.0))
    regressions = best_of(lambda: one_by_one(histories))

    print(f"\n3,000 struts: kernel {kernel:.2f} s, regressions {regressions:.2f} s, {kernel / regressions:.2f} x")  # noqa: T201
    assert kernel <= regressions


def one_by_one(histories: Histories) -> list[object]:
    """Fit each strut's readings by ordinary least squares: rate and its interval, which a forecast would need."""
    readings, offsets = histories.readings, histories.offsets
    fits = []
    for start, end in itertools.pairwise(offsets):
        fit = sm.OLS(readings.corrected_in[start:end], sm.add_constant(readings.day[start:end])).fit()
        fits.append((fit.params, fit.conf_int(0.1)))
    return fits
