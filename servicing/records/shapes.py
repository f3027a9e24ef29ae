"""How record entries look in requests and answers."""

from typing import Any, Final

from rest_framework import serializers

from calculations.record_dates import retention_met_on
from fleet.operators.models import Jurisdiction
from fleet.web.shapes import InputSerializer
from servicing.records.advice import NOT_A_DECISION, advise, as_json, since_drafted
from servicing.records.models import Operation, RecordEntry
from servicing.records.queries import amendments_of

RETENTION: Final = {
    Jurisdiction.US: "14 CFR 91.417(b)(1): until the work is repeated or superseded, or for one year (the year from "
    "memory, source not seen); status records go with the aircraft. This service keeps every entry and deletes none.",
    Jurisdiction.OTHER: "Check local rules for how long. This service keeps every entry and deletes none.",
}


class DraftInput(InputSerializer):
    """What to draft an entry from: a servicing, or a finished top-up."""

    id = serializers.UUIDField(required=False)
    servicing = serializers.UUIDField(required=False)
    top_up = serializers.UUIDField(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Ask for exactly one source."""
        if ("servicing" in attrs) == ("top_up" in attrs):
            raise serializers.ValidationError({"servicing": ["Give either a servicing or a top-up."]})
        return attrs


class DraftChange(InputSerializer):
    """What changes in a draft; what is left out stays."""

    description = serializers.CharField(required=False, max_length=5000, allow_blank=True)
    data_reference = serializers.CharField(required=False, max_length=200, allow_blank=True)
    parts = serializers.CharField(required=False, max_length=300, allow_blank=True)
    location = serializers.CharField(required=False, max_length=120, allow_blank=True)
    work_completed_on = serializers.DateField(required=False)
    performed_by = serializers.CharField(required=False, max_length=120, allow_blank=True)
    approver_name = serializers.CharField(required=False, max_length=120, allow_blank=True)
    certificate_kind = serializers.CharField(required=False, max_length=40, allow_blank=True)
    certificate_number = serializers.CharField(required=False, max_length=40, allow_blank=True)
    declaration = serializers.CharField(required=False, max_length=300, allow_blank=True)
    operation = serializers.ChoiceField(Operation.choices, required=False)
    total_time_hours = serializers.FloatField(required=False, min_value=0, max_value=1e6, allow_null=True)
    total_landings = serializers.IntegerField(required=False, min_value=0, max_value=10_000_000, allow_null=True)


class CompletionInput(InputSerializer):
    """The signature of whoever approves; typed by that person."""

    signature = serializers.CharField(max_length=120)
    approver_name = serializers.CharField(required=False, max_length=120)
    certificate_kind = serializers.CharField(
        required=False, max_length=40, help_text="Such as `private`, `mechanic`, `repair station`."
    )
    certificate_number = serializers.CharField(required=False, max_length=40)
    advice_read = serializers.BooleanField(
        default=False, help_text="Whoever signs in spite of a grave doubt says that it was read."
    )


class AmendmentInput(InputSerializer):
    """Why a completed entry is amended."""

    id = serializers.UUIDField(required=False)
    reason = serializers.CharField(max_length=200)


class EntryFilters(serializers.Serializer[Any]):
    """Which entries to list."""

    aircraft = serializers.UUIDField(required=False)
    state = serializers.ChoiceField(["draft", "completed", "discarded"], required=False)


class FindingAnswer(serializers.Serializer[Any]):
    """What a published rule says about an entry."""

    code = serializers.CharField()
    severity = serializers.ChoiceField(["refuse", "warn", "advise"])
    message = serializers.CharField()
    reference = serializers.CharField()
    source_seen = serializers.CharField()


class EntryAnswer(serializers.Serializer[Any]):
    """A record entry."""

    id = serializers.UUIDField()
    state = serializers.ChoiceField(["draft", "completed", "discarded"])
    aircraft = serializers.UUIDField()
    leg = serializers.UUIDField(allow_null=True)
    servicing = serializers.UUIDField(allow_null=True)
    top_up = serializers.UUIDField(allow_null=True)
    tasks = serializers.ListField(child=serializers.CharField())
    description = serializers.CharField()
    data_reference = serializers.CharField()
    parts = serializers.CharField()
    location = serializers.CharField()
    work_completed_on = serializers.DateField(allow_null=True)
    performed_by = serializers.CharField()
    approver_name = serializers.CharField()
    certificate_kind = serializers.CharField()
    certificate_number = serializers.CharField()
    signature = serializers.CharField()
    declaration = serializers.CharField()
    operation = serializers.ChoiceField(Operation.choices)
    total_time_hours = serializers.FloatField(allow_null=True)
    total_landings = serializers.IntegerField(allow_null=True)
    jurisdiction = serializers.CharField()
    amends = serializers.UUIDField(allow_null=True)
    amendment_reason = serializers.CharField()
    amended_by = serializers.ListField(
        child=serializers.UUIDField(), help_text="Completed entries that amend this one: read them with it."
    )
    created_at = serializers.DateTimeField()
    completed_at = serializers.DateTimeField(allow_null=True)
    number = serializers.IntegerField(allow_null=True)
    previous_digest = serializers.CharField()
    digest = serializers.CharField()
    version = serializers.IntegerField()
    advice = FindingAnswer(many=True)
    advice_note = serializers.CharField()
    retention = serializers.CharField()
    retention_met_on = serializers.DateField(allow_null=True)


class ChainFaultAnswer(serializers.Serializer[Any]):
    """An entry that is not as it was completed."""

    number = serializers.IntegerField()
    entry_id = serializers.UUIDField()
    code = serializers.CharField()
    message = serializers.CharField()


class ChainAnswer(serializers.Serializer[Any]):
    """What looking at every completed entry showed."""

    intact = serializers.BooleanField()
    entries = serializers.IntegerField()
    head_digest = serializers.CharField(help_text="Keep it elsewhere: it stands for all entries up to now.")
    faults = ChainFaultAnswer(many=True)


def entry_answer(entry: RecordEntry) -> dict[str, Any]:
    """Return an entry; a completed one with the advice as it was given then, and what became of the work since."""
    if entry.completed_at is None:
        findings = [as_json(finding) for finding in advise(entry).findings]
    else:
        told = {finding["code"] for finding in entry.advice}
        findings = entry.advice + [as_json(finding) for finding in since_drafted(entry) if finding.code not in told]
    names = [name for name, field in EntryAnswer().fields.items() if isinstance(field, serializers.CharField)]
    plain = {name: getattr(entry, name) for name in names if hasattr(entry, name)}
    return {
        **plain,
        "id": str(entry.id),
        "state": state_of(entry),
        "aircraft": str(entry.aircraft_id),
        **{name: _text(getattr(entry, f"{name}_id")) for name in ("leg", "servicing", "top_up", "amends")},
        "amended_by": [str(amendment.id) for amendment in amendments_of(entry)],
        "tasks": entry.tasks,
        "work_completed_on": _date(entry.work_completed_on),
        "operation": entry.operation,
        "total_time_hours": entry.total_time_hours,
        "total_landings": entry.total_landings,
        "created_at": entry.created_at.isoformat(),
        "completed_at": _date(entry.completed_at),
        "number": entry.number,
        "version": entry.version,
        "advice": findings,
        "advice_note": NOT_A_DECISION,
        "retention": RETENTION[Jurisdiction(entry.jurisdiction)],
        "retention_met_on": _retention_met_on(entry),
    }


def state_of(entry: RecordEntry) -> str:
    """Say how far an entry is."""
    if entry.completed_at is not None:
        return "completed"
    return "draft" if entry.discarded_at is None else "discarded"


def _retention_met_on(entry: RecordEntry) -> str | None:
    if entry.jurisdiction != Jurisdiction.US or entry.work_completed_on is None:
        return None
    return retention_met_on(entry.work_completed_on).isoformat()


def _text(value: Any) -> str | None:
    return None if value is None else str(value)


def _date(value: Any) -> str | None:
    return None if value is None else value.isoformat()
