"""Is a record entry complete, and may a pilot have done this work? Findings, never decisions.

References
----------
.. [1] 14 CFR 43.3(g), 43.7(f), 43.9, appendix A(c).
.. [2] Regulation (EU) 1321/2014 annex Vb, appendices II and III.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from calculations import record_rules as rules
from calculations.record_rules import CertificateKind, Jurisdiction, Operation, Rule, Severity, Task


@dataclass(frozen=True, slots=True)
class Entry:
    """What a draft record entry holds; a missing element is empty or None.

    Parameters
    ----------
    description, data_reference : str
        What was done; which manual and section.
    completed_on : date or None
        When the work was finished.
    performed_by, approved_by : str
        Names.
    signature : str
        Of the approver, or a reference to the signed paper.
    certificate_number : str
        Of the approver.
    certificate_kind : CertificateKind or None
        Of the approver.
    total_time_h : float or None
        Of the aircraft [h].
    is_inspection : bool
        True for an annual, 100 h or other inspection.
    """

    description: str = ""
    data_reference: str = ""
    completed_on: date | None = None
    performed_by: str = ""
    approved_by: str = ""
    signature: str = ""
    certificate_number: str = ""
    certificate_kind: CertificateKind | None = None
    total_time_h: float | None = None
    is_inspection: bool = False


@dataclass(frozen=True, slots=True)
class Claim:
    """Who wants to have done which work under which rules.

    Parameters
    ----------
    tasks : frozenset of Task
        What was done.
    certificate_kind : CertificateKind
        Of the person who approves.
    operation : Operation
        What the aircraft is used for.
    jurisdiction : Jurisdiction
        Whose rules.
    owner_or_operator_declared : bool
        True when the person has declared to own or operate the aircraft; recorded, not judged.
    calibrated_tools, test_equipment : bool
        Whether the work needed them.
    weight_and_balance_involved : bool
        Whether a change of wheel or ski changes weight and balance.
    """

    tasks: frozenset[Task]
    certificate_kind: CertificateKind
    operation: Operation
    jurisdiction: Jurisdiction = Jurisdiction.US
    owner_or_operator_declared: bool = False
    calibrated_tools: bool = False
    test_equipment: bool = False
    weight_and_balance_involved: bool = False


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that the check noticed.

    Parameters
    ----------
    code : str
        Stable, machine-readable.
    severity : Severity
        How much it weighs.
    message : str
        For a person.
    rule : Rule
        What it rests on.
    """

    code: str
    severity: Severity
    message: str
    rule: Rule


def check_entry(entry: Entry, jurisdiction: Jurisdiction = Jurisdiction.US) -> tuple[Finding, ...]:
    """Look for elements that a maintenance record entry lacks.

    Parameters
    ----------
    entry : Entry
        The draft.
    jurisdiction : Jurisdiction, optional
        Whose rules; outside the US the same elements are asked for as good practice.

    Returns
    -------
    tuple of Finding
        Empty when nothing is missing. `REFUSE` for a missing required element.

    Notes
    -----
    A complete entry is not a correct one, and no entry makes an aircraft airworthy.

    References
    ----------
    .. [1] 14 CFR 43.9(a), 43.11.

    Examples
    --------
    >>> [finding.rule.reference for finding in check_entry(Entry())][:2]
    ['14 CFR 43.9(a)(1)', '14 CFR 43.9(a)(2)']
    """
    own_work = not entry.performed_by or entry.performed_by.strip() == entry.approved_by.strip()
    elements = (
        ("description", entry.description.strip() or entry.data_reference.strip(), rules.DESCRIPTION),
        ("completed_on", entry.completed_on, rules.COMPLETION_DATE),
        # An unnamed approver cannot be the performer: then the performer is unknown
        ("performed_by", entry.performed_by.strip() or entry.approved_by.strip(), rules.PERFORMER),
        ("signature", entry.signature.strip(), rules.APPROVAL),
        ("certificate_number", entry.certificate_number.strip(), rules.APPROVAL),
        ("certificate_kind", entry.certificate_kind, rules.APPROVAL),
    )
    required = Severity.REFUSE if jurisdiction is Jurisdiction.US else Severity.WARN
    findings = [
        Finding(f"missing_{name}", required, f"{name}: missing. Wanted: {rule.summary}", rule)
        for name, value, rule in elements
        if not value
    ]
    if entry.total_time_h is None:
        weight = required if entry.is_inspection else Severity.WARN
        findings.append(Finding("missing_total_time", weight, rules.TOTAL_TIME.summary, rules.TOTAL_TIME))
    if entry.is_inspection:
        findings.append(Finding("inspection_entry", Severity.WARN, rules.INSPECTIONS.summary, rules.INSPECTIONS))
    if not own_work and not entry.approved_by.strip():
        findings.append(
            Finding("missing_approved_by", Severity.WARN, "name the approver beside the signature", rules.APPROVAL)
        )
    return tuple(findings + _local_rules(jurisdiction))


def check_authority(claim: Claim) -> tuple[Finding, ...]:
    """Look for reasons why this person may not approve this work.

    Parameters
    ----------
    claim : Claim
        Tasks, certificate, operation, jurisdiction.

    Returns
    -------
    tuple of Finding
        Findings of one jurisdiction only. Empty when a US mechanic's work raises no question.

    Notes
    -----
    A list without `REFUSE` is not an approval: the person who signs answers for it.

    References
    ----------
    .. [1] 14 CFR 43.3(g), 43.7(f), appendix A(c).
    .. [2] Part-ML appendices II and III.

    Examples
    --------
    >>> seals = Claim(frozenset({Task.STRUT_SEALS}), CertificateKind.PRIVATE, Operation.PRIVATE)
    >>> [finding.code for finding in check_authority(seals)]
    ['not_preventive', 'declaration_missing']
    """
    if claim.jurisdiction is Jurisdiction.US:
        return tuple(_united_states(claim))
    if claim.jurisdiction is Jurisdiction.OTHER:
        return tuple(_local_rules(claim.jurisdiction))
    return tuple(_european(claim) + _local_rules(claim.jurisdiction))


def latest_release_on(completed_on: date, jurisdiction: Jurisdiction) -> date | None:
    """Return the day by which the release must be in the record, where this service knows the rule.

    Parameters
    ----------
    completed_on : date
        When the work was finished.
    jurisdiction : Jurisdiction
        Whose rules.

    Returns
    -------
    date or None
        30 days later in the EU and UK; None elsewhere: in the US the aircraft does not fly before.

    References
    ----------
    .. [1] Regulation (EU) 1321/2014, M.A.305(a).

    Examples
    --------
    >>> latest_release_on(date(2026, 3, 14), Jurisdiction.EU)
    datetime.date(2026, 4, 13)
    """
    if jurisdiction in (Jurisdiction.EU, Jurisdiction.UK):
        return completed_on + timedelta(days=rules.EUROPEAN_RELEASE_DAYS)
    return None


def _united_states(claim: Claim) -> list[Finding]:
    kind = claim.certificate_kind
    if kind not in rules.PILOTS_WHO_MAY_APPROVE | rules.PILOTS_WHO_MAY_NOT:
        return []
    findings = [
        Finding("not_preventive", Severity.REFUSE, f"{rule.summary}: licensed work", rule)
        for task, rule in rules.NOT_PREVENTIVE.items()
        if task in claim.tasks
    ]
    if Task.WHEEL_OR_SKI in claim.tasks and claim.weight_and_balance_involved:
        wheel = rules.PREVENTIVE[Task.WHEEL_OR_SKI]
        findings.append(Finding("weight_and_balance_involved", Severity.REFUSE, wheel.summary, wheel))
    if kind in rules.PILOTS_WHO_MAY_NOT:
        rule = rules.PILOT_MAY_APPROVE if kind is CertificateKind.RECREATIONAL else rules.SPORT_PILOTS
        findings.append(Finding("certificate_too_low", Severity.REFUSE, rule.summary, rule))
    if claim.operation is Operation.AIR_CARRIER:
        rule = rules.NOT_FOR_AIR_CARRIERS
        findings.append(Finding("air_carrier", Severity.REFUSE, rule.summary, rule))
    if claim.operation is Operation.RENTAL:
        message = (
            "whether a renter or club member operates the aircraft is a legal question: ask, then record the answer"
        )
        findings.append(Finding("operator_unclear", Severity.WARN, message, rules.PILOT_MAY_DO))
    if not claim.owner_or_operator_declared:
        message = "record a declaration that the pilot owns or operates the aircraft"
        findings.append(Finding("declaration_missing", Severity.WARN, message, rules.PILOT_MAY_DO))
    return findings


def _european(claim: Claim) -> list[Finding]:
    notes = {
        "calibrated_tools": claim.calibrated_tools,
        "test_equipment": claim.test_equipment,
        "hard_landing": Task.HARD_LANDING_CHECK in claim.tasks,
        "complex": Task.STRUT_STRUCTURE in claim.tasks,
        "major_component": Task.STRUT_REMOVAL in claim.tasks,
    }
    findings = [
        Finding(f"pilot_owner_{name}", Severity.WARN, rule.summary, rule)
        for name, rule in rules.EUROPEAN_EXCLUSIONS.items()
        if notes[name]
    ]
    if Task.STRUT_GAS_OR_FLUID in claim.tasks:
        rule = rules.EUROPEAN_SHOCK_STRUTS
        findings.append(Finding("pilot_owner_shock_strut", Severity.ADVISE, rule.summary, rule))
    return findings


def _local_rules(jurisdiction: Jurisdiction) -> list[Finding]:
    if jurisdiction is Jurisdiction.US:
        return []
    rule = rules.CHECK_LOCAL_RULES
    return [Finding("check_local_rules", Severity.WARN, rule.summary, rule)]
