"""The histories of many parts are gathered and assessed the same, however many connections and chunks do it."""

from dataclasses import fields

import numpy as np
import pytest
from django.db.models import F

from calculations.drift import Part, Readings
from calculations.drift.thresholds import opening_evidence
from servicing.drift.actions import sweep
from servicing.drift.gather import gather_struts
from servicing.drift.models import StrutStanding, TyreStanding
from servicing.drift.settings import settings_by_part
from servicing.news.models import PartNews
from servicing.readings.actions import add_tyre_readings
from tests.builders.drift import a_leak, read_strut
from tests.builders.fleet import NOW, next_id
from tests.builders.readings import a_stand, a_tyre_entry


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("connections", [1, 2, 3, 9])
def test_any_number_of_connections_fetches_the_same(connections: int) -> None:
    stand = a_stand()
    stands = [stand, *(a_stand(stand.operator) for _ in range(3))]
    for number, one in enumerate(stands[1:]):
        read_strut(one, a_leak(steady=4 + number, losing=3, loss_in=0.02 * number))
    nowhere = next_id()
    strut_ids = [stands[2].strut.id, nowhere, stands[1].strut.id, stands[0].strut.id, stands[3].strut.id]

    alone = gather_struts(stand.operator.id, strut_ids)
    together = gather_struts(stand.operator.id, strut_ids, connections=connections)

    assert [place.part_id for place in together.places] == [place.part_id for place in alone.places]
    assert len(alone.places) == 4
    assert np.diff(alone.histories.offsets).tolist() == [8, 7, 0, 9]
    for field in fields(Readings):
        np.testing.assert_array_equal(
            getattr(together.histories.readings, field.name), getattr(alone.histories.readings, field.name)
        )


@pytest.mark.django_db
def test_no_struts_have_no_histories() -> None:
    assert gather_struts(a_stand().operator.id, []).histories.count == 0


@pytest.mark.django_db(transaction=True)
def test_a_sweep_in_many_chunks_assesses_every_part(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("servicing.drift.actions.PARTS_AT_ONCE", 2)
    stand = a_stand()
    stands = [stand, *(a_stand(stand.operator) for _ in range(4))]
    for one in stands:
        read_strut(one, a_leak(steady=30, losing=14, loss_in=0.03))
        add_tyre_readings(actor=one.actor, now=NOW, entries=[a_tyre_entry(one.leg, 31.0, taken_at=NOW)])

    done = sweep(now=NOW)

    assert (done.struts, done.tyres, done.changes) == (5, 5, 5)
    assert not PartNews.objects.of(stand.operator).filter(arrived__gt=F("assessed")).exists()
    assert set(StrutStanding.objects.of(stand.operator).values_list("finding", flat=True)) == {"losing_charge"}
    assert TyreStanding.objects.of(stand.operator).count() == 5


@pytest.mark.django_db
def test_struts_and_tyres_are_swept_each_by_its_own_settings() -> None:
    stand = a_stand()
    read_strut(stand, [4.5] * 6)
    add_tyre_readings(actor=stand.actor, now=NOW, entries=[a_tyre_entry(stand.leg, 31.0, taken_at=NOW)])

    sweep(now=NOW)

    needed = {part: opening_evidence(settings) for part, settings in settings_by_part(stand.operator.id).items()}
    assert needed[Part.STRUT] != needed[Part.TYRE]
    strut, tyre = (model.objects.of(stand.operator).get() for model in (StrutStanding, TyreStanding))
    assert strut.evidence["strength_needed"] == pytest.approx(needed[Part.STRUT], abs=0.001)
    assert tyre.evidence["strength_needed"] == pytest.approx(needed[Part.TYRE], abs=0.001)
