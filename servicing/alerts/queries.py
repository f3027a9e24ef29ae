"""Reading alerts and what happened to them."""

import uuid
from collections.abc import Mapping
from typing import Any

from fleet.operators.models import Operator
from fleet.refusals import Missing
from fleet.tenancy import OwnedQuerySet
from servicing.alerts.models import Alert, AlertEvent


def alerts_matching(operator: Operator, filters: Mapping[str, Any]) -> OwnedQuerySet[Alert]:
    """Return the alerts that the documented filters keep, each with its leg and aircraft."""
    rows = Alert.objects.of(operator).select_related("leg__aircraft")
    if (is_open := filters.get("open")) is not None:
        rows = rows.filter(closed_at__isnull=is_open)
    columns = {
        "aircraft": "leg__aircraft",
        "leg": "leg",
        "strut": "strut",
        "tyre": "tyre",
        "level": "level",
        "finding": "finding",
    }
    return rows.filter(**{column: filters[name] for name, column in columns.items() if filters.get(name)})


def alert_of(operator: Operator, alert_id: uuid.UUID) -> Alert:
    """Return one alert, or refuse."""
    alert = alerts_matching(operator, {}).filter(pk=alert_id).first()
    if alert is None:
        raise Missing("no such alert")
    return alert


def events_of(operator: Operator, alert_id: uuid.UUID) -> OwnedQuerySet[AlertEvent]:
    """Return what happened to one alert."""
    alert = alert_of(operator, alert_id)
    return AlertEvent.objects.of(operator).filter(alert=alert).select_related("person")
