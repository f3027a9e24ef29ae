"""Alerts over HTTP."""

import uuid

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.people.models import Role, Scope
from fleet.web.etags import require_match
from fleet.web.idempotency import idempotent
from fleet.web.permissions import READ, WORK
from fleet.web.schema import IF_MATCH, PAGE, page_of
from fleet.web.views import OperatorView
from servicing.alerts.actions import acknowledge_alert, put_off_alert
from servicing.alerts.models import Alert
from servicing.alerts.queries import alert_of, alerts_matching, events_of
from servicing.alerts.shapes import (
    AlertAnswer,
    AlertEventAnswer,
    AlertFilters,
    PutOffAlertInput,
    alert_answer,
    event_answer,
)


class AlertAnsweringView(OperatorView):
    """Answers alerts with the tag of their version."""

    def alert_answered(self, alert: Alert) -> Response:
        """Answer an alert."""
        return self.answer(alert_answer(alert), version=alert.version)


class AlertsView(OperatorView):
    """The operator's alerts."""

    needs = {"GET": READ}

    @extend_schema(
        operation_id="list_alerts",
        summary="Findings that someone must see, newest first",
        parameters=[AlertFilters, *PAGE],
        responses=page_of(AlertAnswer),
    )
    def get(self, request: Request) -> Response:
        """List alerts, open and closed."""
        rows = alerts_matching(self.operator, self.filters(AlertFilters))
        return self.page(rows, alert_answer, order=("-opened_at", "-id"))


class AlertView(AlertAnsweringView):
    """One alert."""

    needs = {"GET": READ}

    @extend_schema(operation_id="get_alert", summary="One alert", responses=AlertAnswer)
    def get(self, request: Request, alert_id: uuid.UUID) -> Response:
        """Return an alert with what it means and what to check first."""
        return self.alert_answered(alert_of(self.operator, alert_id))


class AlertEventsView(OperatorView):
    """The life of one alert."""

    needs = {"GET": READ}

    @extend_schema(
        operation_id="list_alert_events",
        summary="What happened to an alert, newest first",
        parameters=PAGE,
        responses=page_of(AlertEventAnswer),
    )
    def get(self, request: Request, alert_id: uuid.UUID) -> Response:
        """List openings, changes of level, acknowledgements, put-offs and the closing."""
        return self.page(events_of(self.operator, alert_id), event_answer, order=("-at", "-id"))


class AcknowledgementView(AlertAnsweringView):
    """Acknowledgement of one alert."""

    needs = {"POST": WORK}

    @extend_schema(
        operation_id="acknowledge_alert",
        summary="Say that an alert was seen",
        request=None,
        parameters=[IF_MATCH],
        responses=AlertAnswer,
    )
    @idempotent
    def post(self, request: Request, alert_id: uuid.UUID) -> Response:
        """Acknowledge the alert as If-Match names it; it stays open until its finding is gone.

        Acknowledged before: the same answer, and nothing is added.
        """
        alert = alert_of(self.operator, alert_id)
        require_match(request, alert.version)
        return self.alert_answered(
            acknowledge_alert(actor=self.actor, now=self.now, alert_id=alert_id, version=alert.version)
        )


class PutOffView(AlertAnsweringView):
    """Putting off one alert."""

    needs = {"POST": (Role.COORDINATOR, Scope.WORK)}

    @extend_schema(
        operation_id="put_off_alert",
        summary="Let an alert rest until a day",
        request=PutOffAlertInput,
        parameters=[IF_MATCH],
        responses=AlertAnswer,
    )
    @idempotent
    def post(self, request: Request, alert_id: uuid.UUID) -> Response:
        """Put off with a reason. Warnings are not put off; cautions not beyond the earliest expected breach."""
        alert = alert_of(self.operator, alert_id)
        require_match(request, alert.version)
        values = self.checked(PutOffAlertInput)
        return self.alert_answered(
            put_off_alert(actor=self.actor, now=self.now, alert_id=alert_id, version=alert.version, **values)
        )


urlpatterns = [
    path("alerts", AlertsView.as_view()),
    path("alerts/<uuid:alert_id>", AlertView.as_view()),
    path("alerts/<uuid:alert_id>/events", AlertEventsView.as_view()),
    path("alerts/<uuid:alert_id>/acknowledgement", AcknowledgementView.as_view()),
    path("alerts/<uuid:alert_id>/put-off", PutOffView.as_view()),
]
