"""Is a record entry complete, and may this person approve the work?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final

from rest_framework import serializers

from calculations.record_check import Claim, Entry, Finding, check_authority, check_entry
from calculations.record_rules import CertificateKind, Jurisdiction, Operation, Severity, Task
from fleet.web.quantities import QuantityField
from fleet.web.shapes import InputSerializer
from servicing.calculators.calculator import Calculator, CalculatorAnswer, Worked
from servicing.records.models import Operation as RecordOperation

_NO_DECISION: Final = "Findings, never a decision: the person who signs answers for the entry."
_PART_43: Final = "14 CFR part 43"
PART_ML: Final = "Regulation (EU) 1321/2014, Part-ML, appendices II and III; Part-M, M.A.305"


def jurisdiction_field() -> serializers.ChoiceField:
    """Return the field for whose rules hold."""
    return serializers.ChoiceField([str(one) for one in Jurisdiction], default=str(Jurisdiction.US))


class RecordFindingAnswer(serializers.Serializer[Any]):
    """One thing that the check noticed."""

    code = serializers.CharField()
    severity = serializers.CharField(help_text=f"One of {', '.join(Severity)}.")
    message = serializers.CharField()
    reference = serializers.CharField()
    provenance = serializers.CharField(
        help_text="How the rule was seen: R read, R2 quoted elsewhere, M from memory, I our inference."
    )


class FindingsAnswer(CalculatorAnswer):
    """What was noticed; empty when nothing was."""

    findings = RecordFindingAnswer(many=True)
    complete = serializers.BooleanField(help_text="True when nothing that is required was found missing.")


class EntryInput(InputSerializer):
    """A draft entry; leave out what it lacks."""

    description = serializers.CharField(max_length=4000, required=False)
    data_reference = serializers.CharField(max_length=400, required=False)
    completed_on = serializers.DateField(required=False)
    performed_by = serializers.CharField(max_length=120, required=False)
    approved_by = serializers.CharField(max_length=120, required=False)
    signature = serializers.CharField(max_length=400, required=False)
    certificate_number = serializers.CharField(max_length=80, required=False)
    certificate_kind = serializers.ChoiceField([str(one) for one in CertificateKind], required=False)
    total_time = QuantityField("flight_time", required=False)
    is_inspection = serializers.BooleanField(default=False)
    rules_of = jurisdiction_field()


class AuthorityInput(InputSerializer):
    """Who wants to have done which work under which rules."""

    tasks = serializers.ListField(child=serializers.ChoiceField([str(one) for one in Task]), min_length=1)
    certificate_kind = serializers.ChoiceField([str(one) for one in CertificateKind])
    operation = serializers.ChoiceField(RecordOperation.choices)
    rules_of = jurisdiction_field()
    owner_or_operator_declared = serializers.BooleanField(default=False)
    calibrated_tools = serializers.BooleanField(default=False)
    test_equipment = serializers.BooleanField(default=False)
    weight_and_balance_involved = serializers.BooleanField(default=False)


class AuthorityAnswer(CalculatorAnswer):
    """What was noticed; an empty list is no approval."""

    findings = RecordFindingAnswer(many=True)


def _rows(found: Iterable[Finding]) -> list[dict[str, Any]]:
    return [
        {
            "code": one.code,
            "severity": str(one.severity),
            "message": one.message,
            "reference": one.rule.reference,
            "provenance": one.rule.provenance,
        }
        for one in found
    ]


def _entry(values: Mapping[str, Any]) -> Worked:
    given = dict(values)
    jurisdiction = Jurisdiction(given.pop("rules_of"))
    kind, hours = given.pop("certificate_kind", None), given.pop("total_time", None)
    entry = Entry(**given, certificate_kind=kind and CertificateKind(kind), total_time_h=hours)
    found = check_entry(entry, jurisdiction)
    complete = not any(one.severity is Severity.REFUSE for one in found)
    return Worked(
        {"findings": _rows(found), "complete": complete and jurisdiction is Jurisdiction.US},
        sources=("14 CFR 43.9, 43.11",),
        assumptions=(_NO_DECISION, "Complete is told for US rules only; elsewhere check local rules."),
    )


def _authority(values: Mapping[str, Any]) -> Worked:
    claim = Claim(
        **{
            **{name: value for name, value in values.items() if name != "rules_of"},
            "tasks": frozenset(Task(task) for task in values["tasks"]),
            "certificate_kind": CertificateKind(values["certificate_kind"]),
            "operation": Operation(values["operation"]),
            "jurisdiction": Jurisdiction(values["rules_of"]),
        }
    )
    return Worked(
        {"findings": _rows(check_authority(claim))}, sources=(_PART_43, PART_ML), assumptions=(_NO_DECISION,)
    )


CALCULATORS: Final = (
    Calculator(
        "records/entry",
        "check_record_entry",
        "Is a record entry complete?",
        EntryInput,
        FindingsAnswer,
        _entry,
        {
            "description": "Nose strut serviced: nitrogen added, 83 mm left at 9 degC",
            "completed_on": "2026-03-14",
            "approved_by": "J. Doe",
            "signature": "signed",
            "certificate_number": "1234567",
            "certificate_kind": "private",
            "total_time": "4812.6 h",
        },
        _NO_DECISION,
    ),
    Calculator(
        "records/authority",
        "check_record_authority",
        "May this person approve the work?",
        AuthorityInput,
        AuthorityAnswer,
        _authority,
        {"tasks": ["strut_gas_or_fluid"], "certificate_kind": "private", "operation": "rental"},
        _NO_DECISION,
    ),
)
