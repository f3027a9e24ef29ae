"""Rows that belong to one operator, and queries that refuse to forget it."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Self, TypeVar

from django.db import models

if TYPE_CHECKING:
    from fleet.operators.models import Operator

Row = TypeVar("Row", bound=models.Model, covariant=True)


class UnscopedQueryError(RuntimeError):
    """A query on owned rows ran without naming its operator."""


class OwnedQuerySet(models.QuerySet[Row]):
    """Runs only after ``of(operator)``, from a related row, or after ``across_operators()``."""

    _scope_named = False

    def of(self, operator: Operator | uuid.UUID) -> Self:
        """Keep one operator's rows."""
        scoped = self.filter(operator=operator)
        scoped._scope_named = True
        return scoped

    def across_operators(self) -> Self:
        """Say aloud that every operator's rows are meant: jobs of the installation only."""
        everything = self.all()
        everything._scope_named = True
        return everything

    def _clone(self) -> Self:
        copy = super()._clone()  # type: ignore[misc]  # private in the stubs
        copy._scope_named = self._scope_named
        return copy  # type: ignore[no-any-return]

    def _require_scope(self) -> None:
        # A related manager hints at the row it starts from, and that row was fetched within a scope.
        if not self._scope_named and "instance" not in self._hints:  # type: ignore[attr-defined]  # private
            raise UnscopedQueryError(f"name the operator: {self.model.__name__}.objects.of(operator)")

    def _fetch_all(self) -> None:
        if self._result_cache is None:
            self._require_scope()
        super()._fetch_all()

    def iterator(self, chunk_size: int | None = None) -> Iterator[Row]:
        """See Django; refuses without a scope."""
        self._require_scope()
        return super().iterator(chunk_size)

    def count(self) -> int:
        """See Django; refuses without a scope."""
        self._require_scope()
        return super().count()

    def exists(self) -> bool:
        """See Django; refuses without a scope."""
        self._require_scope()
        return super().exists()

    def aggregate(self, *args: Any, **kwargs: Any) -> dict[str, Any]:
        """See Django; refuses without a scope."""
        self._require_scope()
        return super().aggregate(*args, **kwargs)

    def update(self, **kwargs: Any) -> int:
        """See Django; refuses without a scope."""
        self._require_scope()
        return super().update(**kwargs)

    def delete(self) -> tuple[int, dict[str, int]]:
        """See Django; refuses without a scope."""
        self._require_scope()
        return super().delete()


OwnedManager = models.Manager.from_queryset(OwnedQuerySet)


class Owned(models.Model):
    """A row of one operator; its id may be chosen by a client that was offline."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    operator = models.ForeignKey("fleet.Operator", on_delete=models.PROTECT, related_name="+")

    objects = OwnedManager()

    class Meta:
        abstract = True
