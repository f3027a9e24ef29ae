"""Top-ups that nobody went on with: put aside, so that what was done so far is in the history."""

import logging
from datetime import datetime, timedelta
from typing import Final

from django.db.models import Max

from fleet.people.actor import installation_actor
from fleet.refusals import Clash, Refused, Stale
from servicing.work.models import TopUp
from servicing.work.top_up_actions import pause_top_up

log = logging.getLogger(__name__)

# Nobody stands at the strut any more, and a phone without a network has had the day; common practice, no source.
FORGOTTEN_AFTER: Final = timedelta(hours=12)


def put_aside_forgotten(*, now: datetime) -> int:
    """Pause every running top-up of which nothing was heard for long; return how many this call paused.

    Until a top-up is paused or finished its gas and its lengths are steps only: drift would take the next
    reading for a jump that no work explains. The next dose or look resumes it as after any pause.
    """
    running = TopUp.objects.across_operators().filter(finished_at__isnull=True, paused_at__isnull=True)
    silent = running.annotate(heard_at=Max("steps__received_at")).filter(heard_at__lt=now - FORGOTTEN_AFTER)
    return sum(_put_aside(top_up, now) for top_up in silent.order_by("id"))


def _put_aside(top_up: TopUp, now: datetime) -> bool:
    actor = installation_actor(top_up.operator_id)
    try:
        pause_top_up(actor=actor, now=now, top_up_id=top_up.id, version=top_up.version)
    except (Clash, Stale):
        return False  # someone went on with it, or finished it, at this moment
    except Refused as refusal:
        # Such as a strut whose stay on the leg was put right since; its look still asks someone to finish it.
        log.warning("top-up not put aside", extra={"top_up": str(top_up.id), "code": refusal.code})
        return False
    return True
