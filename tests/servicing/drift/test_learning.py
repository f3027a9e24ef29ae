"""What an operator's history teaches, and when everything is judged anew."""

from datetime import timedelta

import pytest

from calculations.drift import TYRE_HABITS, FleetHabits, Part, learn_habits, learn_tyre_habits
from fleet.operators.models import Operator
from servicing.drift import learning
from servicing.drift.actions import sweep, sweep_night
from servicing.drift.gather import gather_struts
from servicing.drift.gather_tyres import gather_tyres
from servicing.drift.learning import renew_settings
from servicing.drift.models import FleetNoise, StrutStanding
from servicing.drift.settings import LEARN_AGAIN_AFTER, settings_of
from servicing.news.models import PartNews
from servicing.readings.actions import add_strut_readings, add_tyre_readings
from tests.builders.drift import a_leak, lengths_over_time, read_strut
from tests.builders.fleet import NOW
from tests.builders.readings import Stand, a_stand, a_tyre_entry

pytestmark = pytest.mark.django_db


def noisy_club(others: int = 7) -> Stand:
    """Return one stand of a club whose readings scatter more than the model believes."""
    stand = a_stand()
    for one in [stand, *(a_stand(stand.operator) for _ in range(others))]:
        read_strut(one, [4.5 + 0.3 * ((-1) ** number) * (number % 4) / 3 for number in range(60)])
    return stand


def with_strut(kept: FleetNoise, **figures: float) -> dict[str, object]:
    """Return what was learned of every kind of part, other figures for struts."""
    return {**kept.habits, "strut": {**kept.habits["strut"], **figures}}


def waiting(stand: Stand) -> int:
    return sum(row.arrived > row.assessed for row in PartNews.objects.of(stand.operator))


def test_the_first_night_learns_from_the_club_s_own_readings() -> None:
    stand = noisy_club()

    found = renew_settings(stand.operator.id, now=NOW)

    learned = settings_of(stand.operator.id).habits
    assert found[Part.STRUT].habits == learned
    ids = sorted(PartNews.objects.of(stand.operator).values_list("strut_id", flat=True))
    assert learned == learn_habits(gather_struts(stand.operator.id, ids).histories)
    assert learned.noise_factor_exercised > 1.1


def test_the_first_night_learns_the_noise_of_tyres_beside_that_of_struts() -> None:
    stand = a_stand()
    stands = [stand, *(a_stand(stand.operator) for _ in range(7))]
    rough = [
        a_tyre_entry(one.leg, 31.2 + (2.5 if number % 2 else -2.5), taken_at=NOW - timedelta(days=2 * number + 1))
        for one in stands
        for number in range(40)
    ]
    add_tyre_readings(actor=stand.actor, now=NOW, entries=rough)

    found = renew_settings(stand.operator.id, now=NOW)

    learned = settings_of(stand.operator.id, Part.TYRE).habits
    assert found[Part.TYRE].habits == learned
    ids = sorted(PartNews.objects.of(stand.operator).filter(tyre__isnull=False).values_list("tyre_id", flat=True))
    gathered = gather_tyres(stand.operator.id, ids)
    assert learned == learn_tyre_habits(gathered.histories, gathered.tyres, gathered.after_work)
    assert learned.noise_factor_exercised > 2.0
    assert settings_of(stand.operator.id).habits == FleetHabits()


def test_what_is_learned_does_not_hang_on_the_order_of_arrival() -> None:
    stand = a_stand()
    entries = lengths_over_time(stand.leg, a_leak(40, 10, 0.03))
    add_strut_readings(actor=stand.actor, now=NOW, entries=entries[25:])
    add_strut_readings(actor=stand.actor, now=NOW, entries=entries[:25][::-1])
    backwards = gather_struts(stand.operator.id, [stand.strut.id]).histories
    other = a_stand()
    read_strut(other, a_leak(40, 10, 0.03))
    forwards = gather_struts(other.operator.id, [other.strut.id]).histories

    assert learn_habits(backwards) == learn_habits(forwards)


def test_it_is_learned_again_only_after_a_week() -> None:
    stand = noisy_club()
    renew_settings(stand.operator.id, now=NOW)

    sweep(now=NOW)

    renew_settings(stand.operator.id, now=NOW + timedelta(days=6))
    assert waiting(stand) == 0
    assert FleetNoise.objects.of(stand.operator).get().learned_at == NOW

    renew_settings(stand.operator.id, now=NOW + LEARN_AGAIN_AFTER)
    assert FleetNoise.objects.of(stand.operator).get().learned_at == NOW + LEARN_AGAIN_AFTER


def test_a_material_change_judges_every_part_anew_and_a_small_one_none() -> None:
    stand = noisy_club()
    sweep_night(now=NOW)
    assert waiting(stand) == 0
    kept = settings_of(stand.operator.id).habits
    row = FleetNoise.objects.of(stand.operator)

    row.update(habits=with_strut(row.get(), seep_mean_per_month=kept.seep_mean_per_month + 0.0001))
    renew_settings(stand.operator.id, now=NOW + LEARN_AGAIN_AFTER)
    assert waiting(stand) == 0

    row.update(habits=with_strut(row.get(), threshold_shift=kept.threshold_shift + 1.0))
    renew_settings(stand.operator.id, now=NOW + 2 * LEARN_AGAIN_AFTER)
    assert waiting(stand) == PartNews.objects.of(stand.operator).count()
    assert learning.differs_much(FleetHabits(threshold_shift=1.0), FleetHabits(), Part.STRUT)


def test_another_choice_of_thresholds_judges_every_strut_anew_by_night() -> None:
    stand = a_stand()
    read_strut(stand, a_leak(steady=30, losing=14, loss_in=0.03))
    sweep_night(now=NOW)
    before = StrutStanding.objects.of(stand.operator).get().evidence["strength_needed"]

    Operator.objects.filter(pk=stand.operator.pk).update(false_alarms_per_strut_year=0.005)
    sweep(now=NOW + timedelta(days=1))
    assert StrutStanding.objects.of(stand.operator).get().evidence["strength_needed"] == before
    sweep_night(now=NOW + timedelta(days=1))

    assert StrutStanding.objects.of(stand.operator).get().evidence["strength_needed"] > before


def test_a_club_without_readings_learns_nothing() -> None:
    stand = a_stand()

    sweep_night(now=NOW)

    assert settings_of(stand.operator.id).habits == FleetHabits()
    assert settings_of(stand.operator.id, Part.TYRE).habits == TYRE_HABITS
