"""The database itself refuses overlaps, whoever writes, and also when two write at once."""

import random
import threading
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import IntegrityError, OperationalError, connection, transaction

from fleet.gear.kinds import STRUT
from fleet.gear.models import StrutInstallation
from fleet.gear.overlaps import overlap_names
from tests.builders.fleet import LONG_AGO, a_leg, a_strut, an_operator, next_id

FOREVER = timedelta(days=10_000)


def put(strut: Any, leg: Any, since: datetime, until: datetime | None) -> bool:
    """Insert past every action; say whether the database took it."""
    try:
        with transaction.atomic():
            StrutInstallation.objects.create(
                id=next_id(), operator=leg.operator, strut=strut, leg=leg, installed_at=since, removed_at=until
            )
    except IntegrityError:
        return False
    return True


@pytest.mark.django_db
def test_the_database_takes_exactly_what_does_not_overlap() -> None:
    operator = an_operator()
    legs, struts = [a_leg(operator) for _ in range(2)], [a_strut(operator) for _ in range(3)]
    # Days and microseconds: SQLite compares moments as text, and a fraction changes its length.
    moments = [LONG_AGO + timedelta(days=day, microseconds=fraction) for day in range(12) for fraction in (0, 1)]
    rng, kept = random.Random(7), []  # noqa: S311  # a reproducible choice, no secret
    taken = 0
    for _ in range(300):
        strut, leg = rng.choice(struts), rng.choice(legs)
        since, until = sorted(rng.sample(moments, 2))
        end = until if rng.random() < 0.9 else None
        clear = not any(
            (strut == other_strut or leg == other_leg)
            and since < (other_end or LONG_AGO + FOREVER)
            and other_since < (end or LONG_AGO + FOREVER)
            for other_strut, other_leg, other_since, other_end in kept
        )
        assert put(strut, leg, since, end) == clear
        if clear:
            kept.append((strut, leg, since, end))
            taken += 1
    assert taken > 10


@pytest.mark.django_db
def test_an_update_cannot_make_an_overlap_either() -> None:
    operator = an_operator()
    leg = a_leg(operator)
    assert put(a_strut(operator), leg, LONG_AGO, LONG_AGO + timedelta(days=5))
    assert put(a_strut(operator), leg, LONG_AGO + timedelta(days=5), None)
    early = StrutInstallation.objects.of(operator).order_by("installed_at").first()
    assert early is not None
    late = StrutInstallation.objects.of(operator).filter(pk=early.pk)
    with pytest.raises(IntegrityError), transaction.atomic():
        late.update(removed_at=LONG_AGO + timedelta(days=6))
    assert late.update(removed_at=LONG_AGO + timedelta(days=4)) == 1


@pytest.mark.django_db(transaction=True)
def test_two_that_install_at_once_do_not_both_succeed() -> None:
    operator = an_operator()
    leg, struts = a_leg(operator), [a_strut(operator) for _ in range(6)]
    until = LONG_AGO + timedelta(days=5)  # closed, so that no unique index stands in for the guard
    gate, outcomes = threading.Barrier(len(struts)), []

    def install(strut: Any) -> None:
        try:
            gate.wait()
            outcomes.append(put(strut, leg, LONG_AGO, until))
        except OperationalError:
            outcomes.append(False)
        finally:
            connection.close()

    threads = [threading.Thread(target=install, args=(strut,)) for strut in struts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == [False] * 5 + [True]
    assert StrutInstallation.objects.of(operator).count() == 1


@pytest.mark.django_db
def test_the_guards_are_in_the_database_after_migrating() -> None:
    names = {name for part in ("strut", "tyre") for name in overlap_names(connection.vendor, part)}
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SELECT tgname FROM pg_trigger WHERE tgenabled = 'O'")
        else:
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        assert names <= {name for (name,) in cursor.fetchall()}
    assert STRUT.installation._meta.db_table == "fleet_strut_installation"
