"""From a change of finding to alert, look and mail."""

from datetime import date, timedelta
from typing import Any

import pytest

from fleet.aircraft.models import Aircraft
from fleet.gear.models import StrutInstallation
from fleet.people.models import Role
from servicing.alerts.following import follow_parts
from servicing.alerts.handling import handle_change, handle_waiting_changes
from servicing.alerts.models import Alert, AlertEvent
from servicing.drift.models import FindingChange
from servicing.outbox.models import OutgoingMail
from servicing.reinspection.models import Reason, Reinspection
from tests.builders.alerts import a_change, an_alert, looks_of, mail_of
from tests.builders.fleet import NOW, a_person, later
from tests.builders.readings import Stand, a_stand

pytestmark = pytest.mark.django_db


def steps(stand: Stand) -> list[str]:
    return list(AlertEvent.objects.of(stand.operator).order_by("at", "id").values_list("step", flat=True))


def test_a_finding_opens_an_alert_asks_for_a_look_and_mails_each_coordinator_once() -> None:
    stand = a_stand()
    a_person(stand.operator)
    change = a_change(stand)

    handled = handle_change(change_id=change.id, now=NOW)

    alert = Alert.objects.of(stand.operator).get()
    (look,) = looks_of(stand)
    assert handled == 1
    assert ("losing_charge", "caution", stand.leg.id) == (alert.finding, alert.level, alert.leg_id)
    assert (Reason.DRIFT, stand.strut.id, change.id) == (look.reason, look.strut_id, look.cause_id)
    assert {stand.actor.person_id, *_others(stand)} == {mail.person_id for mail in mail_of(stand)}
    assert len(mail_of(stand)) == 2


def _others(stand: Stand) -> set[object]:
    return {mail.person_id for mail in mail_of(stand)} - {stand.actor.person_id}


def test_handled_twice_is_handled_once() -> None:
    stand = a_stand()
    change = a_change(stand)

    handled = [handle_change(change_id=change.id, now=NOW) for _ in range(2)]

    assert handled == [1, 0]
    assert tuple(
        model.objects.of(stand.operator).count() for model in (Alert, AlertEvent, Reinspection, OutgoingMail)
    ) == (1, 1, 1, 1)


def test_an_open_alert_follows_its_part_and_stays_where_it_arose_while_that_is_on_a_shelf() -> None:
    stand = a_stand()
    other = a_stand(stand.operator)
    alert = an_alert(stand)
    follow_parts()
    assert Alert.objects.of(stand.operator).get().version == alert.version

    StrutInstallation.objects.of(stand.operator).filter(strut=stand.strut).update(removed_at=NOW)
    follow_parts()
    assert Alert.objects.of(stand.operator).get(pk=alert.pk).leg_id == stand.leg.id

    StrutInstallation.objects.of(stand.operator).filter(strut=other.strut).update(removed_at=NOW)
    StrutInstallation.objects.create(operator=stand.operator, strut=stand.strut, leg=other.leg, installed_at=NOW)
    follow_parts()
    assert Alert.objects.of(stand.operator).get(pk=alert.pk).leg_id == other.leg.id


def test_no_mail_goes_to_readers_to_those_who_want_none_or_have_left_or_have_no_address() -> None:
    stand = a_stand()
    a_person(stand.operator, Role.MECHANIC)
    a_person(stand.operator, wants_mail=False)
    a_person(stand.operator, active=False)
    a_person(stand.operator, email="")
    a_person(a_stand().operator)

    an_alert(stand)

    assert [stand.actor.person_id] == [mail.person_id for mail in mail_of(stand)]


def test_raised_lowered_changed_and_closed_are_steps_and_only_lowering_is_not_mailed() -> None:
    stand = a_stand()
    life = [
        ("losing_charge", "caution", "opened"),
        ("losing_charge", "warning", "raised"),
        ("losing_charge", "caution", "lowered"),
        ("losing_fluid", "caution", "changed"),
        ("steady", "none", "closed"),
        ("steady", "none", None),
    ]

    before = ("steady", "none")
    for hours, (finding, level, _) in enumerate(life):
        change = a_change(stand, finding, level, before=before, at=later(hours=hours))
        handle_change(change_id=change.id, now=later(hours=hours))
        before = (finding, level)

    assert [step for *_, step in life if step] == steps(stand)
    assert [m.subject.partition(": ")[2] for m in mail_of(stand)] == [
        "losing charge (caution)",
        "losing charge (warning)",
        "losing fluid (caution)",
        "closed, was losing fluid",
    ]
    assert later(hours=4) == Alert.objects.of(stand.operator).get().closed_at


def test_an_alert_that_rises_must_be_seen_anew() -> None:
    stand = a_stand()
    alert = an_alert(stand)
    Alert.objects.of(stand.operator).update(acknowledged_at=NOW, put_off_until=date(2026, 3, 20))

    handle_change(change_id=a_change(stand, level="warning", at=later(days=1)).id, now=later(days=1))

    raised = Alert.objects.of(stand.operator).get(pk=alert.pk)
    assert (raised.acknowledged_at, raised.put_off_until, raised.level) == (None, None, "warning")


def test_a_level_that_hangs_on_its_bound_is_mailed_once_and_stays_acknowledged() -> None:
    stand = a_stand()
    alert, before = an_alert(stand), ("losing_charge", "caution")
    for days, level in enumerate(("warning", "caution", "warning", "caution", "warning"), 1):
        change = a_change(stand, level=level, before=before, at=later(days=days))
        handle_change(change_id=change.id, now=later(days=days))
        if days == 1:
            Alert.objects.of(stand.operator).update(acknowledged_at=NOW)
        before = ("losing_charge", level)

    assert steps(stand) == ["opened", "raised", "lowered", "raised", "lowered", "raised"]
    assert len(mail_of(stand)) == 2
    assert Alert.objects.of(stand.operator).get(pk=alert.pk).acknowledged_at == NOW


def test_a_level_that_comes_back_after_long_is_news() -> None:
    stand = a_stand()
    an_alert(stand)
    for days, level in ((1, "warning"), (2, "caution"), (40, "warning")):
        handle_change(change_id=a_change(stand, level=level, at=later(days=days)).id, now=later(days=days))

    assert len(mail_of(stand)) == 3


@pytest.mark.parametrize("gone", ["to a shelf", "with a retired aircraft"])
def test_of_a_part_that_nobody_flies_with_nothing_is_mailed(gone: str) -> None:
    stand = a_stand()
    an_alert(stand)
    if gone == "to a shelf":
        StrutInstallation.objects.of(stand.operator).update(removed_at=NOW)
    else:
        Aircraft.objects.of(stand.operator).update(retired_at=NOW)

    handle_change(change_id=a_change(stand, level="warning", at=later(days=60)).id, now=later(days=60))

    assert (steps(stand), len(mail_of(stand))) == (["opened", "raised"], 1)


def test_a_later_change_is_handled_after_the_earlier_ones_of_its_part() -> None:
    stand = a_stand()
    a_change(stand, level="caution", at=NOW)
    last = a_change(stand, level="warning", at=later(hours=1))

    assert handle_change(change_id=last.id, now=later(hours=2)) == 2

    assert steps(stand) == ["opened", "raised"]


def test_every_waiting_change_is_handled_for_every_operator() -> None:
    stands = [a_stand(), a_stand()]
    for stand in stands:
        a_change(stand)

    assert handle_waiting_changes(now=NOW) == 2

    assert FindingChange.objects.across_operators().filter(handled_at__isnull=True).count() == 0
    assert [Alert.objects.of(stand.operator).count() for stand in stands] == [1, 1]


@pytest.mark.parametrize(
    ("level", "due_on"),
    [
        ("warning", date(2026, 3, 2)),  # today: before the next flight
        ("caution", date(2026, 3, 9)),  # a week at most, although the breach is farther
        ("advisory", date(2026, 4, 1)),  # the operator's notice of 30 days
    ],
)
def test_a_look_is_due_as_soon_as_the_level_asks(level: str, due_on: date) -> None:
    stand = a_stand()

    handle_change(change_id=a_change(stand, level=level).id, now=NOW)

    assert [due_on] == [look.due_on for look in looks_of(stand)]


def test_a_new_finding_takes_over_the_earlier_look_and_keeps_its_earlier_date() -> None:
    stand = a_stand()
    an_alert(stand)

    later_on = later(days=1)
    handle_change(change_id=a_change(stand, "losing_fluid", "caution", at=later_on).id, now=later_on)

    first, second = looks_of(stand)
    assert first.closed_reason == "covered by the look for a newer finding"
    assert first.due_on == second.due_on
    assert second.done_at is None


def test_a_closed_alert_closes_its_look_with_a_reason() -> None:
    stand = a_stand()
    an_alert(stand)
    change = a_change(stand, "steady", "none", before=("losing_charge", "caution"), at=later(days=2))

    handle_change(change_id=change.id, now=later(days=2))

    (look,) = looks_of(stand)
    assert (later(days=2), "no longer found: losing charge") == (look.done_at, look.closed_reason)


def test_a_suspect_reading_asks_to_be_read_again() -> None:
    stand = a_stand()

    handle_change(change_id=a_change(stand, "suspect_reading", "advisory").id, now=NOW)

    assert [look.reason for look in looks_of(stand)] == [Reason.SUSPECT]


def test_a_tyre_has_alerts_of_its_own() -> None:
    stand = a_stand()
    an_alert(stand)
    found = {
        "pressure_psig": 24.0,
        "rate_percent_per_day": -0.6,
        "rate_low": -0.9,
        "rate_high": -0.4,
        "evidence": {"fast": True, "losing_since": "2026-02-25", "readings_used": 9, "readings_set_aside": 0},
    }

    handle_change(change_id=a_change(stand, tyre=stand.tyre, evidence=found, at=later(hours=1)).id, now=NOW)

    assert Alert.objects.of(stand.operator).filter(closed_at__isnull=True).count() == 2
    (of_tyre,) = (mail for mail in mail_of(stand) if ", tyre:" in mail.text)
    assert "Read the pressure cold" in of_tyre.text


@pytest.mark.parametrize(("why", "told"), [({"losing_since": "2026-02-25"}, True), ({"losing_since": None}, False)])
def test_a_letter_on_a_tyre_tells_a_rate_of_losses_only(why: dict[str, Any], told: bool) -> None:
    stand = a_stand()
    evidence = {"fast": False, "readings_used": 9, "readings_set_aside": 0, **why}
    found = {"pressure_psig": 24.0, "rate_percent_per_day": -0.2, "rate_low": -0.3, "rate_high": -0.1}

    change = a_change(stand, "standing_low", tyre=stand.tyre, evidence={**found, "evidence": evidence})
    handle_change(change_id=change.id, now=NOW)

    (letter,) = mail_of(stand)
    assert ("% per day" in letter.text) is told


def test_a_strut_that_was_never_installed_raises_nothing_and_blocks_nothing() -> None:
    stand = a_stand()
    other = a_stand(stand.operator)
    change = a_change(stand, leg=None)
    StrutInstallation.objects.of(stand.operator).filter(strut=stand.strut).delete()

    assert handle_change(change_id=change.id, now=NOW) == 1

    assert Alert.objects.of(other.operator).count() == 0


def test_a_failure_half_way_leaves_the_change_waiting_and_nothing_written(monkeypatch: pytest.MonkeyPatch) -> None:
    stand = a_stand()
    change = a_change(stand)
    # The database refuses the mail: an address that no column can hold would do the same.
    monkeypatch.setattr("servicing.outbox.actions.message_id_for", lambda _: None)

    with pytest.raises(Exception, match="message_id"):
        handle_change(change_id=change.id, now=NOW)

    assert tuple(model.objects.of(stand.operator).count() for model in (Alert, AlertEvent, Reinspection)) == (0, 0, 0)
    assert FindingChange.objects.of(stand.operator).get().handled_at is None
    monkeypatch.undo()
    assert handle_change(change_id=change.id, now=NOW + timedelta(minutes=1)) == 1
