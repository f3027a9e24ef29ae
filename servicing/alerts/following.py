"""An alert goes with its part: what is open follows it to the leg that it is on now."""

from django.db.models import F, OuterRef, Subquery

from fleet.gear.models import StrutInstallation, TyreInstallation
from servicing.alerts.models import Alert


def follow_parts() -> None:
    """Move the open alerts of parts that were moved; of a part on a shelf the alert stays where it arose."""
    _follow(StrutInstallation, "strut_id")
    _follow(TyreInstallation, "tyre_id")


def _follow(model: type[StrutInstallation] | type[TyreInstallation], part: str) -> None:
    now_on = model.objects.across_operators().filter(**{part: OuterRef(part)}, removed_at__isnull=True)
    alerts = Alert.objects.across_operators().filter(closed_at__isnull=True)
    moved = alerts.annotate(here=Subquery(now_on.values("leg_id")[:1])).exclude(leg_id=F("here"))
    moved.filter(here__isnull=False).update(leg_id=F("here"), version=F("version") + 1)
