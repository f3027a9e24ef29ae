"""The histories of many struts come the same however many connections fetch them."""

from dataclasses import fields

import numpy as np
import pytest

from calculations.drift import Readings
from servicing.drift.gather import gather_struts
from tests.builders.drift import a_leak, read_strut
from tests.builders.fleet import next_id
from tests.builders.readings import a_stand


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
