"""What the published rules say about a draft: elements that are missing, and who may do such work. Advice only."""

from dataclasses import dataclass
from typing import Final

from calculations import record_check
from calculations.record_check import Claim, Entry, Finding
from calculations.record_rules import CertificateKind, Jurisdiction, Operation, Rule, Severity, Task
from servicing.records.models import RecordEntry
from servicing.records.queries import is_corrected_since
from servicing.work.models import Work

TASKS: Final = {
    Work.GAS_ADDED: Task.STRUT_GAS_OR_FLUID,
    Work.GAS_RELEASED: Task.STRUT_GAS_OR_FLUID,
    Work.FLUID_ADDED: Task.STRUT_GAS_OR_FLUID,
    Work.FLUID_CHANGED: Task.STRUT_GAS_OR_FLUID,
    Work.SEALS: Task.STRUT_SEALS,
    Work.OVERHAULED: Task.STRUT_DISASSEMBLY,
    Work.TYRE_INFLATED: Task.TYRE,
    Work.TYRE_CHANGED: Task.TYRE,
    Work.TYRE_TURNED: Task.TYRE,
    Work.BEARING_SEEN: Task.WHEEL_BEARING,
}
CORRECTED: Final = Rule(
    "history of this service",
    "the work was corrected or taken back after this was drafted: compare the figures, and amend a completed entry",
    "I",
)
UNLISTED: Final = Rule("14 CFR 43 App. A(c)", "the list of preventive maintenance does not name this work", "I")
NOT_A_DECISION: Final = (
    "This is advice from published rules, not a decision: the person who signs answers for the work and the entry."
)


@dataclass(frozen=True, slots=True)
class Advice:
    """What was found about a draft.

    Parameters
    ----------
    elements
        Findings on the entry itself.
    entitlement
        Findings on who does and approves the work.
    """

    elements: tuple[Finding, ...]
    entitlement: tuple[Finding, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All of it, each once."""
        return tuple(dict.fromkeys((*self.elements, *self.entitlement)))

    @property
    def missing(self) -> tuple[Finding, ...]:
        """Required elements without which the entry is not completed."""
        return tuple(finding for finding in self.elements if finding.severity is Severity.REFUSE)

    @property
    def grave(self) -> tuple[Finding, ...]:
        """Doubts about entitlement that whoever completes the entry must have read."""
        return tuple(finding for finding in self.entitlement if finding.severity is Severity.REFUSE)


def advise(entry: RecordEntry) -> Advice:
    """Return the findings on an entry as it stands."""
    jurisdiction = Jurisdiction(entry.jurisdiction)
    kind = certificate_kind(entry.certificate_kind)
    elements = record_check.check_entry(
        Entry(
            description=entry.description,
            data_reference=entry.data_reference,
            completed_on=entry.work_completed_on,
            performed_by=entry.performed_by,
            approved_by=entry.approver_name,
            signature=entry.signature,
            certificate_number=entry.certificate_number,
            certificate_kind=kind,
            total_time_h=entry.total_time_hours,
        ),
        jurisdiction,
    )
    if kind is None and entry.certificate_kind and jurisdiction is not Jurisdiction.US:
        # Other authorities have certificates that this service has no name for.
        elements = tuple(finding for finding in elements if finding.code != "missing_certificate_kind")
    return Advice((*elements, *since_drafted(entry)), _entitlement(entry, kind, jurisdiction))


def since_drafted(entry: RecordEntry) -> tuple[Finding, ...]:
    """Return what became of the work after an entry was drafted; a completed entry has this beside its own advice."""
    if not is_corrected_since(entry):
        return ()
    return (Finding("work_corrected", Severity.WARN, CORRECTED.summary, CORRECTED),)


def certificate_kind(text: str) -> CertificateKind | None:
    """Return the kind that a text names, or None.

    >>> certificate_kind("Airline transport"), certificate_kind("licence B1")
    (<CertificateKind.AIRLINE_TRANSPORT: 'airline_transport'>, None)
    """
    name = text.strip().lower().replace(" ", "_").replace("-", "_")
    return CertificateKind(name) if name in set(CertificateKind) else None


def field_of(finding: Finding) -> str:
    """Return the field of an entry that a finding is about.

    >>> from calculations.record_check import check_entry, Entry
    >>> [field_of(finding) for finding in check_entry(Entry())][:3]
    ['description', 'work_completed_on', 'performed_by']
    """
    name = finding.code.removeprefix("missing_")
    return "work_completed_on" if name == "completed_on" else name


def as_json(finding: Finding) -> dict[str, str]:
    """Return a finding for answers and for the entry's own memory."""
    return {
        "code": finding.code,
        "severity": str(finding.severity),
        "message": finding.message,
        "reference": finding.rule.reference,
        "source_seen": "no, from memory" if finding.rule.provenance == "M" else "yes",
    }


def _entitlement(entry: RecordEntry, kind: CertificateKind | None, jurisdiction: Jurisdiction) -> tuple[Finding, ...]:
    if kind is None:
        return ()
    works = [Work(task) for task in entry.tasks]
    claim = Claim(
        tasks=frozenset(TASKS[work] for work in works if work in TASKS),
        certificate_kind=kind,
        operation=Operation(entry.operation),
        jurisdiction=jurisdiction,
        owner_or_operator_declared=bool(entry.declaration.strip()),
    )
    findings = record_check.check_authority(claim)
    unlisted = sorted(work.value for work in works if work not in TASKS)
    is_pilot = any(finding.code in {"declaration_missing", "operator_unclear"} for finding in findings)
    if unlisted and is_pilot:
        message = f"{', '.join(unlisted)}: {UNLISTED.summary}; ask a mechanic whether a pilot may do it"
        findings = (*findings, Finding("not_named_in_list", Severity.WARN, message, UNLISTED))
    return findings
