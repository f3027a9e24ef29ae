"""Whether dispatch would answer the same as before, found out in two small queries."""

from datetime import datetime
from typing import Any, Final

from django.db.models import Count, F, OuterRef, Subquery, Sum

from fleet.aircraft.models import Aircraft, Leg, TypeSheet
from fleet.gear.models import StrutInstallation, TyreInstallation
from fleet.operators.local_day import today_at
from fleet.operators.models import Operator
from servicing.alerts.models import Alert
from servicing.news.models import PartNews
from servicing.reinspection.models import Reinspection
from servicing.usage.models import Usage

_VERSIONED: Final[tuple[Any, ...]] = (Aircraft, TypeSheet, StrutInstallation, TyreInstallation, Alert, Reinspection)


def dispatch_stamp(operator: Operator, now: datetime) -> list[Any]:
    """Return figures that change with whatever dispatch shows.

    Versions only ever grow, and so do their sums when a row is added or changed. Readings and work are counted by
    the news of their parts, assessments by what of the news they have seen, flights by their rows.
    """
    sums = {model.__name__: _of_operator(model, Sum("version")) for model in _VERSIONED}
    sums["news"] = _of_operator(PartNews, Sum(F("arrived") + F("assessed")))
    sums["usage"] = _of_operator(Usage, Count("id"))
    (figures,) = Operator.objects.filter(pk=operator.pk).values_list(*sums.values())
    # A leg has no version, and which sheet holds for it decides the limits.
    legs = Leg.objects.of(operator).order_by("id").values_list("id", "sheet_id")
    return [today_at(operator.time_zone, now), *figures, *legs]


def _of_operator(model: Any, total: Any) -> Subquery:
    rows = model.objects.filter(operator=OuterRef("pk")).order_by().values("operator")
    return Subquery(rows.annotate(total=total).values("total"))
