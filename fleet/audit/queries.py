"""Reading the audit trail."""

import uuid
from datetime import datetime

from fleet.audit.models import AuditEntry
from fleet.operators.models import Operator
from fleet.tenancy import OwnedQuerySet


def audit_matching(
    operator: Operator,
    *,
    subject: uuid.UUID | None = None,
    kind: str | None = None,
    person: uuid.UUID | None = None,
    since: datetime | None = None,
    until: datetime | None = None,
) -> OwnedQuerySet[AuditEntry]:
    """Return the entries that the documented filters keep."""
    wanted = {
        "subject_id": subject,
        "subject_kind": kind,
        "person_id": person,
        "at__gte": since,
        "at__lt": until,
    }
    return AuditEntry.objects.of(operator).filter(
        **{name: value for name, value in wanted.items() if value is not None}
    )
