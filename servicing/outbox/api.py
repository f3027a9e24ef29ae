"""The outbox over HTTP: what was sent, what waits, what was given up and why."""

import uuid
from typing import Any

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.web.idempotency import idempotent
from fleet.web.permissions import MANAGE
from fleet.web.schema import PAGE, page_of
from fleet.web.views import OperatorView
from servicing.outbox.actions import try_mail_again
from servicing.outbox.models import OutgoingMail
from servicing.outbox.queries import STATES, mail_matching, state_of


class MailFilters(serializers.Serializer[Any]):
    """Which mail to list."""

    state = serializers.ChoiceField(STATES, required=False)
    person = serializers.UUIDField(required=False)


class MailAnswer(serializers.Serializer[Any]):
    """One mail to one person."""

    id = serializers.UUIDField()
    state = serializers.ChoiceField(STATES)
    person = serializers.UUIDField()
    address = serializers.CharField()
    subject = serializers.CharField()
    message_id = serializers.CharField()
    created_at = serializers.DateTimeField()
    attempts = serializers.IntegerField()
    next_attempt_at = serializers.DateTimeField(allow_null=True)
    sent_at = serializers.DateTimeField(allow_null=True)
    given_up_at = serializers.DateTimeField(allow_null=True)
    last_error = serializers.CharField(allow_blank=True)


def mail_answer(mail: OutgoingMail) -> dict[str, Any]:
    """Return a mail as it is answered."""
    state = state_of(mail)
    return {
        "id": mail.id,
        "state": state,
        "person": mail.person_id,
        "address": mail.address,
        "subject": mail.subject,
        "message_id": mail.message_id,
        "created_at": mail.created_at,
        "attempts": mail.attempts,
        "next_attempt_at": mail.not_before if state == "waiting" else None,
        "sent_at": mail.sent_at,
        "given_up_at": mail.given_up_at,
        "last_error": mail.last_error,
    }


class OutboxView(OperatorView):
    """The operator's outgoing mail."""

    needs = {"GET": MANAGE}

    @extend_schema(
        operation_id="list_outbox",
        summary="Mail that was sent, waits or was given up, newest first",
        parameters=[MailFilters, *PAGE],
        responses=page_of(MailAnswer),
    )
    def get(self, request: Request) -> Response:
        """List mail with its attempts and its last error."""
        rows = mail_matching(self.operator, self.filters(MailFilters))
        return self.page(rows, mail_answer, order=("-created_at", "-id"))


class MailRetryView(OperatorView):
    """Another try for one mail."""

    needs = {"POST": MANAGE}

    @extend_schema(
        operation_id="try_mail_again",
        summary="Try a mail again that was given up",
        request=None,
        responses=MailAnswer,
    )
    @idempotent
    def post(self, request: Request, mail_id: uuid.UUID) -> Response:
        """Put the mail back, to the person's present address and under the same Message-ID."""
        return self.answer(mail_answer(try_mail_again(actor=self.actor, now=self.now, mail_id=mail_id)))


urlpatterns = [
    path("outbox", OutboxView.as_view()),
    path("outbox/<uuid:mail_id>/retry", MailRetryView.as_view()),
]
