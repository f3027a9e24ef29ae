"""Gas for the second time within two months: whoever stands at the strut is told before more goes in."""

from datetime import datetime, timedelta
from typing import Final

from servicing.readings.models import StrutReading
from servicing.work.models import TopUp, Work
from servicing.work.queries import valid_servicings

CLOSE_TOGETHER: Final = timedelta(days=60)  # as drift calls two top-ups a leak; common practice, no source
SAME_OCCASION: Final = timedelta(days=1)


def filled_lately(top_up: TopUp) -> datetime | None:
    """Return when gas went in shortly before a top-up began; None where the fluid was looked at or set since."""
    rows = valid_servicings(
        top_up.operator_id, strut_id=top_up.strut_id, since=top_up.started_at - CLOSE_TOGETHER
    ).filter(done_at__lt=top_up.started_at - SAME_OCCASION)
    done = list(rows.exclude(work=Work.CLEANED).values_list("work", "done_at"))
    if not done or done[-1][0] != Work.GAS_ADDED:
        return None
    filled_at = done[-1][1]
    looked = StrutReading.objects.of(top_up.operator_id).filter(
        strut=top_up.strut_id, taken_at__gte=filled_at, superseded=False, withdrawn=False
    )
    return None if looked.exclude(fluid_level="").exists() else filled_at
