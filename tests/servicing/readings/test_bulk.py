"""Rows written in bulk are as Django would have written them."""

from datetime import date

import pytest
from django.db import IntegrityError, transaction

from servicing.drift.models import StrutStanding
from servicing.readings.bulk import append_rows, replace_rows, update_rows
from servicing.readings.models import StrutReading
from tests.builders.fleet import NOW, a_strut, an_operator, next_id
from tests.builders.readings import a_stand, a_strut_reading, stored_strut

pytestmark = pytest.mark.django_db

ODD_WORDS = ["tab\there", "line\nend\r", "back\\slash \\N", "'quoted' \"twice\"", "½ — ø 火", "", "\\."]


@pytest.mark.parametrize("words", ODD_WORDS)
def test_odd_words_come_back_as_they_were(words: str) -> None:
    stand = a_stand()

    reading = a_strut_reading(stand, note=words, taken_by=words, as_read={"extension": {"value": 4.5, "unit": words}})

    assert (reading.note, reading.taken_by, reading.as_read["extension"]["unit"]) == (words, words, words)


def test_a_row_written_in_bulk_equals_one_written_by_django() -> None:
    stand = a_stand()
    bulk = a_strut_reading(stand, temperature_f=None, observations=("valve bubbles",), fluid_seen="wet")
    values = {field.attname: getattr(bulk, field.attname) for field in StrutReading._meta.concrete_fields}

    plain = StrutReading.objects.create(**{**values, "id": next_id()})

    for field in StrutReading._meta.concrete_fields[1:]:
        assert getattr(stored_strut(stand, plain.id), field.attname) == values[field.attname], field.attname


def test_a_row_that_is_there_is_refused_as_django_refuses_it() -> None:
    reading = a_strut_reading(a_stand())
    values = {field.attname: [getattr(reading, field.attname)] for field in StrutReading._meta.concrete_fields}

    with pytest.raises(IntegrityError), transaction.atomic():
        append_rows(StrutReading, values)


def test_no_rows_are_no_trouble() -> None:
    append_rows(StrutReading, {"id": []})
    update_rows(StrutReading, [], {"corrected_in": []})
    replace_rows(StrutStanding, {"id": []}, unique="strut_id")


def test_many_rows_are_updated_each_with_its_own_values() -> None:
    stand = a_stand()
    rows = [a_strut_reading(stand, 4.0 + number / 8) for number in range(3)]

    update_rows(
        StrutReading,
        [row.id for row in rows],
        {"corrected_in": [1.0, 2.0, 3.0], "corrected_sheet_version": [7, 8, 9]},
    )

    anew = [stored_strut(stand, row.id) for row in rows]
    assert [(row.corrected_in, row.corrected_sheet_version) for row in anew] == [(1.0, 7), (2.0, 8), (3.0, 9)]


def test_a_row_is_replaced_where_one_is_there_and_inserted_where_none_is() -> None:
    operator = an_operator()
    known, fresh = a_strut(operator), a_strut(operator)
    kept = StrutStanding.objects.create(
        operator=operator, strut=known, finding="sticky", breach_on=date(2026, 5, 1), evidence={"strength": 1.5}
    )

    replace_rows(
        StrutStanding,
        {
            "id": [next_id(), next_id()],
            "strut_id": [known.id, fresh.id],
            "breach_on": [None, date(2026, 7, 2)],
            "rate_low": [-0.25, None],
            "evidence": [{"words": ODD_WORDS}, {}],
        },
        {"operator_id": operator.id, "assessed_at": NOW, "finding": "steady", "level": "none"},
        unique="strut_id",
    )

    columns = ("id", "finding", "assessed_at", "breach_on", "rate_low", "evidence")
    rows = StrutStanding.objects.of(operator)
    assert rows.values_list(*columns).get(strut=known) == (
        kept.id, "steady", NOW, None, -0.25, {"words": ODD_WORDS}
    )  # fmt: skip
    assert rows.values_list(*columns[1:]).get(strut=fresh) == ("steady", NOW, date(2026, 7, 2), None, {})
