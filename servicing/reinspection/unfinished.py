"""Top-ups that were begun and not finished: someone is asked to go on or to finish them, until it is done."""

from datetime import datetime, timedelta
from typing import Final

from django.db import transaction
from django.db.models import OuterRef, Subquery

from fleet.operators.local_day import today_at
from fleet.operators.models import Operator
from servicing.reinspection.closing import close_look
from servicing.reinspection.models import Reason, Reinspection
from servicing.reinspection.rules import RULES
from servicing.work.forgotten import FORGOTTEN_AFTER
from servicing.work.models import TopUp, TopUpStep

WENT_ON: Final = "the top-up went on or was finished"


@transaction.atomic
def review_unfinished(*, operator: Operator, now: datetime) -> None:
    """Open one look for each top-up left where it is, and close those whose top-up moved since."""
    left = _left_where_they_are(operator, now)
    open_looks = Reinspection.objects.of(operator).filter(reason=Reason.OPEN_TOP_UP, done_at__isnull=True)
    for look in open_looks.exclude(cause_id__in=[last.id for last in left]):
        close_look(operator=operator, look=look, now=now, reason=WENT_ON)
    rule = RULES[Reason.OPEN_TOP_UP]
    Reinspection.objects.bulk_create(
        [
            Reinspection(
                operator=operator,
                leg_id=last.top_up.leg_id,
                strut_id=last.top_up.strut_id,
                reason=Reason.OPEN_TOP_UP,
                look_for=rule.look_for,
                opened_at=now,
                counts_from=last.at,
                # By its last step, so that a top-up that was resumed and left again is asked for again.
                cause_id=last.id,
                due_on=today_at(operator.time_zone, last.at) + timedelta(days=rule.due_after_days),
            )
            for last in left
        ],
        ignore_conflicts=True,
    )


def _left_where_they_are(operator: Operator, now: datetime) -> list[TopUpStep]:
    """Return the last step of every top-up that is not finished and of which nothing was heard for long."""
    steps = TopUpStep.objects.of(operator)
    live = steps.filter(top_up=OuterRef("pk"), superseded=False, withdrawn=False)
    newest = live.order_by("-at", "-sequence").values("pk")[:1]
    last = TopUp.objects.of(operator).filter(finished_at__isnull=True).annotate(last=Subquery(newest)).values("last")
    silent = steps.filter(pk__in=last, received_at__lt=now - FORGOTTEN_AFTER)
    return list(silent.select_related("top_up"))
