"""The audit trail over HTTP."""

from typing import Any

from django.urls import path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.audit.models import AuditEntry
from fleet.audit.queries import audit_matching
from fleet.people.models import Role, Scope
from fleet.web.schema import PAGE, page_of
from fleet.web.views import OperatorView


class AuditFilters(serializers.Serializer[Any]):
    """Which entries a list keeps."""

    subject = serializers.UUIDField(required=False, help_text="The row that was changed.")
    kind = serializers.CharField(required=False, max_length=40, help_text="Such as `person` or `aircraft`.")
    person = serializers.UUIDField(required=False, help_text="Who did it.")
    since = serializers.DateTimeField(required=False)
    until = serializers.DateTimeField(required=False)


class AuditEntryAnswer(serializers.Serializer[Any]):
    """One change by one person, or by the service itself."""

    id = serializers.UUIDField()
    at = serializers.DateTimeField()
    person = serializers.UUIDField(allow_null=True)
    token = serializers.UUIDField(allow_null=True)
    action = serializers.CharField()
    subject_kind = serializers.CharField()
    subject = serializers.UUIDField()
    before = serializers.DictField(allow_null=True)
    after = serializers.DictField(allow_null=True)


def audit_answer(entry: AuditEntry) -> dict[str, Any]:
    """Return an entry; values are in the units in which they are kept."""
    return {
        "id": str(entry.pk),
        "at": entry.at,
        "person": entry.person_id,
        "token": entry.token_id,
        "action": entry.action,
        "subject_kind": entry.subject_kind,
        "subject": entry.subject_id,
        "before": entry.before,
        "after": entry.after,
    }


class AuditView(OperatorView):
    """The operator's audit trail."""

    needs = {"GET": (Role.COORDINATOR, Scope.READ)}

    @extend_schema(
        operation_id="list_audit",
        summary="Who changed what, newest first",
        parameters=[AuditFilters, *PAGE],
        responses=page_of(AuditEntryAnswer),
    )
    def get(self, request: Request) -> Response:
        """List the entries. Column names end in the unit in which a value is kept."""
        return self.page(
            audit_matching(self.operator, **self.filters(AuditFilters)), audit_answer, order=("-at", "-id")
        )


urlpatterns = [path("audit", AuditView.as_view())]
