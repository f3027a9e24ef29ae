"""How imports look in requests and answers."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from fleet.web.shapes import InputSerializer
from servicing.exchange.models import Import, ImportKind, ImportState


class ImportSettings(serializers.Serializer[Any]):
    """What to do with a file; as query parameters, or as fields beside the file."""

    kind = serializers.ChoiceField(ImportKind.choices, help_text="What its rows are.")
    dry_run = serializers.BooleanField(required=False, default=False, help_text="Check every row and store nothing.")
    keep_good_rows = serializers.BooleanField(
        required=False, default=False, help_text="Store the rows without fault although others have some."
    )
    file_name = serializers.CharField(required=False, max_length=200, default="")


class ImportFile(InputSerializer, ImportSettings):
    """A file with its settings, as a form."""

    file = serializers.FileField()


class ImportFilters(serializers.Serializer[Any]):
    """Which imports to list."""

    kind = serializers.ChoiceField(ImportKind.choices, required=False)
    state = serializers.ChoiceField(ImportState.choices, required=False)


class RowFaultAnswer(serializers.Serializer[Any]):
    """What is wrong with one row."""

    row = serializers.IntegerField(help_text="As a spreadsheet numbers it: the header is row 1.")
    field = serializers.CharField()
    code = serializers.CharField()
    message = serializers.CharField()


class ImportAnswer(serializers.Serializer[Any]):
    """A file and what became of its rows."""

    id = serializers.UUIDField()
    kind = serializers.ChoiceField(ImportKind.choices)
    file_name = serializers.CharField()
    sha256 = serializers.CharField()
    state = serializers.ChoiceField(ImportState.choices)
    dry_run = serializers.BooleanField()
    keep_good_rows = serializers.BooleanField()
    created_at = serializers.DateTimeField()
    finished_at = serializers.DateTimeField(allow_null=True)
    rows_total = serializers.IntegerField()
    rows_checked = serializers.IntegerField()
    rows_saved = serializers.IntegerField()
    rows_known = serializers.IntegerField(help_text="Rows that were stored before and left as they are.")
    faults_total = serializers.IntegerField()
    faults = RowFaultAnswer(many=True, help_text="The first thousand.")
    notes = serializers.ListField(child=serializers.CharField(), help_text="What was taken for granted.")


def import_answer(row: Import) -> dict[str, Any]:
    """Return an import."""
    return {
        "id": str(row.id),
        "kind": str(row.kind),
        "file_name": row.file_name,
        "sha256": row.digest,
        "state": str(row.state),
        "dry_run": row.dry_run,
        "keep_good_rows": row.keep_good_rows,
        "created_at": row.created_at.isoformat(),
        "finished_at": row.finished_at.isoformat() if row.finished_at else None,
        "rows_total": row.rows_total,
        "rows_checked": row.rows_checked,
        "rows_saved": row.rows_saved,
        "rows_known": row.rows_known,
        "faults_total": row.faults_total,
        "faults": row.faults,
        "notes": row.notes,
    }
