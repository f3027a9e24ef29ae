"""Changing one versioned row: compare-and-set on its version, with the audit entry beside it."""

import uuid
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from datetime import date, datetime
from typing import Any, TypeVar

from django.db import IntegrityError, models, transaction
from django.db.models import F, QuerySet

from fleet.audit.actions import record_change
from fleet.people.actor import Actor
from fleet.refusals import Clash, FieldFault, Stale
from fleet.tenancy import Owned

Row = TypeVar("Row", bound=models.Model)
OwnedRow = TypeVar("OwnedRow", bound=Owned)


@contextmanager
def no_clash(field: str, message: str) -> Iterator[None]:
    """Answer a uniqueness constraint that the block runs into as a fault of ``field``."""
    try:
        with transaction.atomic():
            yield
    except IntegrityError as error:
        raise Clash(message, code="taken", faults=[FieldFault(field, "taken", message)]) from error


def change_row(
    rows: QuerySet[Row, Row],
    row: Row,
    *,
    actor: Actor,
    now: datetime,
    version: int,
    changes: Mapping[str, Any],
    kind: str,
    action: str = "",
    private: Collection[str] = (),
) -> bool:
    """Write what differs if the row is still at ``version``, record it, and say whether anything differed.

    ``rows`` must be scoped to the operator; ``row`` is brought up to date. Of ``private`` columns the audit
    trail keeps only that they changed, because nothing can be erased from it.
    """
    before = {name: getattr(row, name) for name, value in changes.items() if getattr(row, name) != value}
    after = {name: changes[name] for name in before}
    if not before:
        if row.version != version:  # type: ignore[attr-defined]  # callers pass versioned rows only
            raise _stale()
        return False
    if not rows.filter(pk=row.pk, version=version).update(**after, version=F("version") + 1):
        raise _stale()
    for name, value in {**after, "version": version + 1}.items():
        setattr(row, name, value)
    record_change(
        actor=actor,
        action=action or f"{kind} changed",
        subject_kind=kind,
        subject_id=row.pk,
        now=now,
        before={name: None if name in private else audit_value(value) for name, value in before.items()},
        after={name: None if name in private else audit_value(value) for name, value in after.items()},
    )
    return True


def row_with_id(
    model: type[OwnedRow], actor: Actor, row_id: uuid.UUID | None, values: Mapping[str, Any]
) -> OwnedRow | None:
    """Return the row that a client has created before under the id that it chose, None when the id is free.

    Refuses an id that stands for anything else, whosever it is.
    """
    row = model.objects.across_operators().filter(pk=row_id).first() if row_id else None
    if row is None:
        return None
    if row.operator_id != actor.operator_id or any(getattr(row, name) != value for name, value in values.items()):
        message = "this id stands for something else already; choose another"
        raise Clash(message, code="id_in_use", faults=[FieldFault("id", "id_in_use", message)])
    return row


def audit_value(value: Any) -> Any:
    """Return a value as the audit trail keeps it."""
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, uuid.UUID):
        return str(value)
    if isinstance(value, models.Model):
        return str(value.pk)
    return value


def _stale() -> Stale:
    return Stale("this has changed since you read it; read it again, then change it")
