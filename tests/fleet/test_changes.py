"""Changing versioned rows below the edge, where two callers may have passed If-Match at the same moment."""

import pytest

from fleet.audit.models import AuditEntry
from fleet.changes import change_row
from fleet.operators.models import Operator
from fleet.refusals import Stale
from tests.builders.fleet import NOW, an_actor, an_operator

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("days", [14, 30], ids=["another value", "the same value"])
def test_of_two_changes_of_one_version_the_second_is_refused(days: int) -> None:
    operator = an_operator(notice_days=30)
    seen_by_both = Operator.objects.get(pk=operator.pk)
    rows, actor = Operator.objects.filter(pk=operator.pk), an_actor(operator)
    change_row(rows, operator, actor=actor, now=NOW, version=1, changes={"notice_days": 7}, kind="operator")
    seen_by_both.version = 2 if days == 30 else 1
    with pytest.raises(Stale):
        change_row(
            rows, seen_by_both, actor=actor, now=NOW, version=1, changes={"notice_days": days}, kind="operator"
        )
    operator.refresh_from_db()
    assert (operator.notice_days, operator.version) == (7, 2)
    assert AuditEntry.objects.of(operator).count() == 1
