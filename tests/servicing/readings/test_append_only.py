"""What was read stays, against the ORM and against SQL."""

import pytest
from django.db import DatabaseError, connection, transaction

from servicing.readings.models import StrutReading, TyreReading
from tests.builders.readings import a_stand, a_strut_reading, a_tyre_reading, stored_strut

pytestmark = pytest.mark.django_db

RAW = {
    "extension_in": 1.0,
    "temperature_f": 1.0,
    "fuel_lb": 1.0,
    "exercised": False,
    "note": "other",
    "as_read": {},
    "observations": ["valve bubbles"],
    "withdrawn": True,
}


@pytest.mark.parametrize("column", RAW)
def test_a_raw_column_cannot_be_updated(column: str) -> None:
    reading = a_strut_reading(a_stand())

    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        StrutReading.objects.of(reading.operator_id).filter(pk=reading.pk).update(**{column: RAW[column]})


def test_a_reading_cannot_be_deleted_by_a_query_or_by_sql() -> None:
    stand = a_stand()
    reading, tyre_reading = a_strut_reading(stand), a_tyre_reading(stand)

    for delete in (
        lambda: StrutReading.objects.of(stand.operator).filter(pk=reading.pk).delete(),
        lambda: TyreReading.objects.of(stand.operator).filter(pk=tyre_reading.pk).delete(),
        lambda: connection.cursor().execute("DELETE FROM servicing_strut_reading"),
    ):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            delete()

    assert reading == stored_strut(stand, reading.id)


def test_derived_columns_may_be_made_anew() -> None:
    stand = a_stand()
    reading = a_strut_reading(stand)

    StrutReading.objects.of(stand.operator).filter(pk=reading.pk).update(corrected_in=4.0, superseded=True)

    assert stored_strut(stand, reading.id).corrected_in == 4.0
