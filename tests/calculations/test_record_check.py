"""Record rules: 14 CFR parts 43 and 91, Part-ML; advice and never a decision."""

from dataclasses import replace
from datetime import date

import pytest

from calculations import record_rules as rules
from calculations.record_check import Claim, Entry, Finding, check_authority, check_entry, latest_release_on
from calculations.record_rules import CertificateKind, Jurisdiction, Operation, Severity, Task

# The sample entry is invented
SAMPLE = Entry(
    description=(
        "Nose strut serviced: exposed tube 45 mm found, nitrogen added, 83 mm left at 9 degC, 410 kg on nose gear; "
        "no leak seen. Preventive maintenance, 14 CFR 43 App. A(c)(3)."
    ),
    data_reference="AMM 12-10",
    completed_on=date(2026, 3, 14),
    approved_by="J. Doe",
    signature="J. Doe",
    certificate_number="1234567",
    certificate_kind=CertificateKind.PRIVATE,
    total_time_h=4812.6,
)
PILOT = Claim(
    frozenset({Task.STRUT_GAS_OR_FLUID}),
    CertificateKind.PRIVATE,
    Operation.PRIVATE,
    owner_or_operator_declared=True,
)


def told(findings: tuple[Finding, ...]) -> dict[str, tuple[Severity, str]]:
    return {finding.code: (finding.severity, finding.rule.reference) for finding in findings}


def test_the_sample_entry_passes():
    assert check_entry(SAMPLE) == ()


# 14 CFR 43.9(a)(1)-(4)
@pytest.mark.parametrize(
    ("change", "code", "reference"),
    [
        ({"description": " ", "data_reference": ""}, "missing_description", "14 CFR 43.9(a)(1)"),
        ({"completed_on": None}, "missing_completed_on", "14 CFR 43.9(a)(2)"),
        ({"performed_by": "", "approved_by": ""}, "missing_performed_by", "14 CFR 43.9(a)(3)"),
        ({"signature": ""}, "missing_signature", "14 CFR 43.9(a)(4)"),
        ({"certificate_number": ""}, "missing_certificate_number", "14 CFR 43.9(a)(4)"),
        ({"certificate_kind": None}, "missing_certificate_kind", "14 CFR 43.9(a)(4)"),
    ],
)
def test_an_entry_without_a_required_element_is_refused_with_its_paragraph(change, code, reference):
    assert told(check_entry(replace(SAMPLE, **change))) == {code: (Severity.REFUSE, reference)}


def test_description_or_reference_to_data_is_enough():
    assert check_entry(replace(SAMPLE, description="")) == ()
    assert check_entry(replace(SAMPLE, data_reference="")) == ()


def test_a_performer_other_than_the_approver_is_named():
    assert check_entry(replace(SAMPLE, performed_by="R. Roe")) == ()
    found = told(check_entry(replace(SAMPLE, performed_by="R. Roe", approved_by="")))
    assert found == {"missing_approved_by": (Severity.WARN, "14 CFR 43.9(a)(4)")}


def test_total_time_is_customary_but_required_for_inspections():
    assert told(check_entry(replace(SAMPLE, total_time_h=None)))["missing_total_time"][0] is Severity.WARN
    found = told(check_entry(replace(SAMPLE, total_time_h=None, is_inspection=True)))
    assert found["missing_total_time"][0] is Severity.REFUSE
    assert found["inspection_entry"] == (Severity.WARN, "14 CFR 43.9(c), 43.11")


def test_an_empty_entry_tells_all_faults_at_once():
    found = check_entry(Entry())
    assert len([finding for finding in found if finding.severity is Severity.REFUSE]) == 6
    assert [finding.code for finding in found if finding.severity is not Severity.REFUSE] == ["missing_total_time"]


def test_a_pilot_may_add_gas_to_a_strut_of_an_own_aircraft():
    assert check_authority(PILOT) == ()


# 14 CFR 43 App. A(c): listed
@pytest.mark.parametrize(
    ("task", "paragraph"),
    [
        (Task.TYRE, 1),
        (Task.SHOCK_CORD, 2),
        (Task.STRUT_GAS_OR_FLUID, 3),
        (Task.WHEEL_BEARING, 4),
        (Task.SAFETY_WIRE, 5),
        (Task.LUBRICATION, 6),
        (Task.HYDRAULIC_RESERVOIR, 8),
        (Task.WHEEL_OR_SKI, 18),
    ],
)
def test_listed_work_is_preventive(task, paragraph):
    assert rules.PREVENTIVE[task].reference == f"14 CFR 43 App. A(c)({paragraph})"
    assert check_authority(replace(PILOT, tasks=frozenset({task}))) == ()


# Not in 14 CFR 43 App. A(c): inference from the list
@pytest.mark.parametrize("task", list(rules.NOT_PREVENTIVE))
def test_work_that_is_not_listed_is_refused_to_a_pilot_but_not_to_a_mechanic(task):
    claim = replace(PILOT, tasks=frozenset({task, Task.STRUT_GAS_OR_FLUID}))
    assert told(check_authority(claim)) == {"not_preventive": (Severity.REFUSE, "14 CFR 43 App. A(c)")}
    assert check_authority(replace(claim, certificate_kind=CertificateKind.MECHANIC)) == ()


def test_every_task_is_either_listed_or_not():
    assert rules.PREVENTIVE.keys() | rules.NOT_PREVENTIVE.keys() == set(Task)
    assert not rules.PREVENTIVE.keys() & rules.NOT_PREVENTIVE.keys()


@pytest.mark.parametrize(
    ("change", "code", "severity"),
    [
        ({"certificate_kind": CertificateKind.STUDENT}, "certificate_too_low", Severity.REFUSE),
        ({"certificate_kind": CertificateKind.SPORT}, "certificate_too_low", Severity.REFUSE),
        ({"certificate_kind": CertificateKind.RECREATIONAL}, "certificate_too_low", Severity.REFUSE),
        ({"operation": Operation.AIR_CARRIER}, "air_carrier", Severity.REFUSE),
        ({"operation": Operation.RENTAL}, "operator_unclear", Severity.WARN),
        ({"owner_or_operator_declared": False}, "declaration_missing", Severity.WARN),
        (
            {"tasks": frozenset({Task.WHEEL_OR_SKI}), "weight_and_balance_involved": True},
            "weight_and_balance_involved",
            Severity.REFUSE,
        ),
    ],
)
def test_limits_of_a_pilots_authority(change, code, severity):
    # 14 CFR 43.3(g), 43.7(f); sport and student pilots from memory, source not seen
    found = told(check_authority(replace(PILOT, **change)))
    assert {name: level for name, (level, _) in found.items()} == {code: severity}


def test_commercial_and_airline_pilots_have_the_same_authority_as_private():
    for kind in (CertificateKind.COMMERCIAL, CertificateKind.AIRLINE_TRANSPORT):
        assert check_authority(replace(PILOT, certificate_kind=kind)) == ()


def test_other_jurisdictions_are_told_to_check_local_rules():
    for jurisdiction in (Jurisdiction.EU, Jurisdiction.UK, Jurisdiction.OTHER):
        assert "check_local_rules" in told(check_authority(replace(PILOT, jurisdiction=jurisdiction)))
        found = told(check_entry(replace(SAMPLE, signature=""), jurisdiction))
        assert found["missing_signature"][0] is Severity.WARN
        assert "check_local_rules" in found
    other = replace(PILOT, jurisdiction=Jurisdiction.OTHER, tasks=frozenset({Task.STRUT_SEALS}))
    assert set(told(check_authority(other))) == {"check_local_rules"}


# Part-ML Appendix II (b)(2), (4), (5), (6) and Appendix III (a)(16)
@pytest.mark.parametrize(
    ("change", "code", "reference"),
    [
        ({"calibrated_tools": True}, "pilot_owner_calibrated_tools", "Part-ML App. II(b)(4)"),
        ({"test_equipment": True}, "pilot_owner_test_equipment", "Part-ML App. II(b)(5)"),
        ({"tasks": frozenset({Task.HARD_LANDING_CHECK})}, "pilot_owner_hard_landing", "Part-ML App. II(b)(6)"),
        ({"tasks": frozenset({Task.STRUT_STRUCTURE})}, "pilot_owner_complex", "Part-ML App. III(a)(16)"),
        ({"tasks": frozenset({Task.STRUT_REMOVAL})}, "pilot_owner_major_component", "Part-ML App. II(b)(2)"),
    ],
)
def test_european_exclusions_are_flagged_but_not_decided(change, code, reference):
    claim = replace(PILOT, jurisdiction=Jurisdiction.EU, **change)
    assert told(check_authority(claim))[code] == (Severity.WARN, reference)


def test_adding_gas_is_listed_for_pilot_owners_in_europe():
    # AMC1 to Part-ML Appendix II, from memory, source not seen
    found = told(check_authority(replace(PILOT, jurisdiction=Jurisdiction.EU)))
    assert found["pilot_owner_shock_strut"] == (Severity.ADVISE, "AMC1 to Part-ML App. II")


def test_release_within_thirty_days_in_europe():
    # M.A.305(a); 36 months of retention from AMC M.A.305(e)(1)
    assert latest_release_on(date(2026, 3, 14), Jurisdiction.UK) == date(2026, 4, 13)
    assert latest_release_on(date(2026, 3, 14), Jurisdiction.US) is None
    assert rules.EUROPEAN_RETENTION_MONTHS == 36


def test_every_rule_says_how_it_was_seen():
    every = [rule for rule in vars(rules).values() if isinstance(rule, rules.Rule)]
    every += [*rules.PREVENTIVE.values(), *rules.NOT_PREVENTIVE.values(), *rules.EUROPEAN_EXCLUSIONS.values()]
    assert {rule.provenance for rule in every} == {"R", "R2", "M", "I"}
    assert all(rule.reference and rule.summary for rule in every)


def test_gear_items_of_the_hundred_hour_inspection():
    # 14 CFR 43 App. D(e): ten items, among them fluid level and tyre wear and cuts
    items = rules.HUNDRED_HOUR_GEAR_ITEMS.summary.split("; ")
    assert len(items) == 10
    assert "shock absorbers: fluid level" in items
    assert "tyres: wear and cuts" in items
