"""Recording work: once, late, corrected, and always to be seen."""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.db import DatabaseError, connection, transaction

from fleet.audit.models import AuditEntry
from fleet.gear.models import StrutInstallation
from fleet.people.actor import ForbiddenError
from fleet.people.models import Role
from fleet.refusals import Clash, Missing, Refused
from servicing.news.models import PartNews
from servicing.work.actions import add_servicings, correct_servicing
from servicing.work.models import Servicing, Work
from tests.builders.fleet import LONG_AGO, NOW, a_leg, a_strut, a_tyre, an_actor, an_operator, later, next_id
from tests.builders.work import servicing_row

pytestmark = pytest.mark.django_db


def test_work_on_a_strut_is_recorded_with_the_strut_that_was_on_the_leg_and_marks_its_news():
    operator = an_operator()
    leg = a_leg(operator)
    strut = a_strut(operator, leg)

    recorded = add_servicings(actor=an_actor(operator), now=NOW, rows=[servicing_row(leg, extension_after_in=4.5)])

    assert recorded.saved == 1
    assert recorded.rows[0].strut_id == strut.id
    assert PartNews.objects.of(operator).get(strut=strut).arrived == 1
    assert AuditEntry.objects.of(operator).get().action == "servicing recorded"


def test_late_work_goes_to_the_strut_that_was_installed_then_and_reopens_its_history():
    operator = an_operator()
    leg = a_leg(operator)
    old = a_strut(operator, leg)
    StrutInstallation.objects.of(operator).filter(strut=old).update(removed_at=NOW - timedelta(days=10))
    a_strut(operator, leg, installed_at=NOW - timedelta(days=10))

    recorded = add_servicings(
        actor=an_actor(operator), now=NOW, rows=[servicing_row(leg, done_at=NOW - timedelta(days=40))]
    )

    assert recorded.rows[0].strut_id == old.id
    assert PartNews.objects.of(operator).get().strut_id == old.id


def test_the_same_rows_sent_again_change_nothing():
    operator = an_operator()
    leg = a_leg(operator)
    a_strut(operator, leg)
    rows = [servicing_row(leg), servicing_row(leg, Work.CLEANED), servicing_row(leg, id=next_id(), done_at=LONG_AGO)]
    actor = an_actor(operator)
    add_servicings(actor=actor, now=NOW, rows=rows)

    again = add_servicings(actor=actor, now=later(days=1), rows=rows)

    assert (again.saved, again.known) == (0, 3)
    assert Servicing.objects.of(operator).count() == 3


def test_a_row_twice_in_one_batch_is_recorded_once():
    operator = an_operator()
    leg = a_leg(operator)
    a_strut(operator, leg)

    recorded = add_servicings(actor=an_actor(operator), now=NOW, rows=[servicing_row(leg)] * 2)

    assert (recorded.saved, recorded.known) == (1, 1)


def test_an_id_used_for_other_figures_is_refused():
    operator = an_operator()
    leg = a_leg(operator)
    a_strut(operator, leg)
    row = servicing_row(leg, id=next_id(), extension_after_in=4.5)
    add_servicings(actor=an_actor(operator), now=NOW, rows=[row])

    with pytest.raises(Refused) as refusal:
        add_servicings(actor=an_actor(operator), now=NOW, rows=[replace(row, extension_after_in=4.0)])

    assert [fault.code for fault in refusal.value.faults] == ["already_recorded_otherwise"]


def test_every_fault_of_every_row_is_told_at_once_and_nothing_is_recorded():
    operator = an_operator()
    leg = a_leg(operator)
    a_strut(operator, leg)
    rows = [
        servicing_row(leg),
        servicing_row(leg, "painted"),
        servicing_row(a_leg(an_operator())),
        servicing_row(leg, Work.TYRE_INFLATED),
        servicing_row(leg, done_at=later(days=1), strokes=-1.0, equipment_id=next_id()),
        servicing_row(leg, done_at=LONG_AGO - timedelta(days=1)),
    ]

    with pytest.raises(Refused) as refusal:
        add_servicings(actor=an_actor(operator), now=NOW, rows=rows)

    assert {(fault.field, fault.code) for fault in refusal.value.faults} == {
        ("servicings.1.work", "unknown_work"),
        ("servicings.2.leg", "unknown_leg"),
        ("servicings.3.done_at", "no_part_installed"),
        ("servicings.4.done_at", "in_the_future"),
        ("servicings.4.strokes", "negative"),
        ("servicings.4.equipment", "unknown_equipment"),
        ("servicings.5.done_at", "no_part_installed"),
    }
    assert not Servicing.objects.of(operator).exists()


def test_a_strut_figure_on_tyre_work_is_refused():
    operator = an_operator()
    leg = a_leg(operator)
    a_tyre(operator, leg)

    with pytest.raises(Refused) as refusal:
        add_servicings(
            actor=an_actor(operator), now=NOW, rows=[servicing_row(leg, Work.TYRE_INFLATED, extension_after_in=4.0)]
        )

    assert [(fault.field, fault.code) for fault in refusal.value.faults] == [
        ("servicings.0.extension_after", "not_of_a_tyre")
    ]


def test_a_member_may_not_record_work():
    operator = an_operator()

    with pytest.raises(ForbiddenError):
        add_servicings(actor=an_actor(operator, Role.MEMBER), now=NOW, rows=[servicing_row(a_leg(operator))])


def test_a_correction_replaces_the_row_which_stays_to_be_seen():
    operator = an_operator()
    leg = a_leg(operator)
    a_strut(operator, leg)
    actor = an_actor(operator)
    wrong = add_servicings(actor=actor, now=NOW, rows=[servicing_row(leg, extension_after_in=5.4)]).rows[0]

    right = correct_servicing(
        actor=actor,
        now=later(hours=1),
        servicing_id=wrong.id,
        row=servicing_row(leg, extension_after_in=4.5),
        reason="misread the ruler",
    )

    wrong.refresh_from_db()
    assert wrong.superseded
    assert (right.corrects_id, right.extension_after_in, right.superseded) == (wrong.id, 4.5, False)
    assert PartNews.objects.of(operator).get().arrived == 2


def test_work_that_never_happened_is_taken_back():
    operator = an_operator()
    leg = a_leg(operator)
    a_strut(operator, leg)
    actor = an_actor(operator)
    wrong = add_servicings(actor=actor, now=NOW, rows=[servicing_row(leg)]).rows[0]

    gone = correct_servicing(actor=actor, now=NOW, servicing_id=wrong.id, row=None, reason="another aircraft")

    assert gone.withdrawn
    assert not Servicing.objects.of(operator).filter(superseded=False, withdrawn=False).exists()


def test_the_same_file_after_a_correction_does_not_bring_the_mistake_back():
    operator = an_operator()
    leg = a_leg(operator)
    a_strut(operator, leg)
    actor = an_actor(operator)
    wrong = add_servicings(actor=actor, now=NOW, rows=[servicing_row(leg)]).rows[0]
    correct_servicing(actor=actor, now=NOW, servicing_id=wrong.id, row=None, reason="another aircraft")

    assert add_servicings(actor=actor, now=NOW, rows=[servicing_row(leg)]).saved == 0


def test_a_row_is_corrected_once_and_the_same_correction_sent_again_is_known():
    operator = an_operator()
    leg = a_leg(operator)
    a_strut(operator, leg)
    actor = an_actor(operator)
    wrong = add_servicings(actor=actor, now=NOW, rows=[servicing_row(leg)]).rows[0]
    correction_id = next_id()
    correction = {
        "actor": actor,
        "now": NOW,
        "servicing_id": wrong.id,
        "row": servicing_row(leg, note="seal looked at"),
        "reason": "note forgotten",
    }
    first = correct_servicing(**correction, correction_id=correction_id)

    assert correct_servicing(**correction, correction_id=correction_id) == first
    with pytest.raises(Clash):
        correct_servicing(**correction)


def test_a_stranger_cannot_correct_and_a_reason_is_needed():
    operator = an_operator()
    leg = a_leg(operator)
    a_strut(operator, leg)
    servicing = add_servicings(actor=an_actor(operator), now=NOW, rows=[servicing_row(leg)]).rows[0]

    with pytest.raises(Missing):
        correct_servicing(
            actor=an_actor(an_operator()), now=NOW, servicing_id=servicing.id, row=None, reason="not mine"
        )
    with pytest.raises(Refused):
        correct_servicing(actor=an_actor(operator), now=NOW, servicing_id=servicing.id, row=None, reason=" ")


@pytest.mark.parametrize(
    "sql",
    ["DELETE FROM servicing_servicing", "UPDATE servicing_servicing SET work = 'cleaned'"],
)
def test_the_database_refuses_to_rewrite_or_delete_work_even_by_raw_sql(sql):
    operator = an_operator()
    leg = a_leg(operator)
    a_strut(operator, leg)
    add_servicings(actor=an_actor(operator), now=NOW, rows=[servicing_row(leg)])

    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql)
    assert Servicing.objects.of(operator).get().work == Work.GAS_ADDED
