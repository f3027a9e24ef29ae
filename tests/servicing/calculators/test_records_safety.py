"""Record checks, dates, cautions and stages against the published rules."""

from typing import Any

import pytest

from tests.servicing.calculators.answers import part

ENTRY = {
    "description": "Nose strut serviced iaw AMM 12-10: 45 mm found, nitrogen added, 83 mm left at 9 degC",
    "completed_on": "2026-03-14",
    "approved_by": "J. Doe",
    "signature": "signed",
    "certificate_number": "1234567",
    "certificate_kind": "private",
    "total_time": "4812.6 h",
}
GAS = {"tasks": ["strut_gas_or_fluid"], "certificate_kind": "private", "operation": "private"}


def codes(answer: Any) -> set[str]:
    return {finding["code"] for finding in answer["findings"]}


def test_a_complete_entry_passes(ask: Any) -> None:
    answer = ask("records/entry", ENTRY)
    assert (answer["findings"], answer["complete"]) == ([], True)


@pytest.mark.parametrize(
    ("missing", "reference"),
    [
        ("description", "14 CFR 43.9(a)(1)"),
        ("completed_on", "14 CFR 43.9(a)(2)"),
        ("signature", "14 CFR 43.9(a)(4)"),
        ("certificate_number", "14 CFR 43.9(a)(4)"),
        ("certificate_kind", "14 CFR 43.9(a)(4)"),
    ],
)
def test_an_entry_that_lacks_an_element_names_the_rule(ask: Any, missing: str, reference: str) -> None:
    answer = ask("records/entry", {name: value for name, value in ENTRY.items() if name != missing})
    assert answer["complete"] is False
    assert [(one["code"], one["severity"], one["reference"]) for one in answer["findings"]] == [
        (f"missing_{missing}", "refuse", reference)
    ]


def test_elsewhere_local_rules_are_to_be_checked_and_nothing_is_called_complete(ask: Any) -> None:
    answer = ask("records/entry", {**ENTRY, "rules_of": "other"})
    assert (codes(answer), answer["complete"]) == ({"check_local_rules"}, False)


def test_a_pilot_may_add_gas_to_a_strut_but_not_replace_its_seals(ask: Any) -> None:
    # 14 CFR 43 App. A(c)(3); seals are not on the list
    assert codes(ask("records/authority", {**GAS, "owner_or_operator_declared": True})) == set()
    seals = ask("records/authority", {**GAS, "tasks": ["strut_seals"]})
    assert ("not_preventive", "refuse", "14 CFR 43 App. A(c)") in {
        (one["code"], one["severity"], one["reference"]) for one in seals["findings"]
    }


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"certificate_kind": "student"}, "certificate_too_low"),  # 14 CFR 43.7(f), from memory
        ({"operation": "air_carrier"}, "air_carrier"),  # 14 CFR 43.3(g)
        ({"operation": "rental"}, "operator_unclear"),
        ({"rules_of": "eu", "calibrated_tools": True}, "pilot_owner_calibrated_tools"),  # Part-ML App. II(b)(4)
        ({"rules_of": "eu", "tasks": ["hard_landing_check"]}, "pilot_owner_hard_landing"),  # Part-ML App. II(b)(6)
        ({"rules_of": "other"}, "check_local_rules"),
    ],
)
def test_who_may_approve_depends_on_certificate_operation_and_rules(ask: Any, change: Any, code: str) -> None:
    assert code in codes(ask("records/authority", {**GAS, **change}))


def test_dates_follow_the_rules(ask: Any) -> None:
    # 14 CFR 91.409(a), (b), 91.417(b) (from memory): calendar months, excess counts, a year or superseded
    body = {"done_on": "2026-03-14", "due_hours": "1100 h", "done_hours": "1104 h", "superseded_on": "2026-09-01"}
    answer = ask("records/dates", body)
    assert (answer["inspection_due_on"], answer["retention_met_on"]) == ("2027-03-31", "2026-09-01")
    assert (part(answer, "next_due_hours"), part(answer, "excess_hours"), answer["excess_allowed"]) == (1200, 4, True)
    # M.A.305(a): 30 days
    europe = ask("records/dates", {"done_on": "2026-03-14", "rules_of": "eu"})
    assert (europe["release_due_on"], europe["next_due_hours"]) == ("2026-04-13", None)


def test_what_cannot_be_is_refused(refused: Any) -> None:
    body = {"done_on": "2026-03-14", "superseded_on": "2026-03-01", "due_hours": "-1 h", "done_hours": "-1 h"}
    assert refused("records/dates", body) == {
        ("superseded_on", "before_work"),
        ("due_hours", "negative"),
        ("done_hours", "negative"),
    }
    assert refused("records/dates", {"done_on": "2026-03-14", "due_hours": "1 h"}, 400) == {
        ("done_hours", "required")
    }
    assert refused("records/authority", {**GAS, "tasks": ["painting"]}, 400) == {("tasks.0", "invalid_choice")}


def test_cautions_come_with_their_sources(ask: Any) -> None:
    answer = ask("safety/cautions", {"steps": ["cylinder", "gas_charge"]})
    found = {one["code"]: one["citation"] for one in answer["sourced"]}
    assert {"own_manual", "no_oxygen", "regulator", "stand_aside"} <= set(found)
    assert all(found.values())
    assert [one["text"] for one in answer["sourced"]] == answer["cautions"]


def test_servicing_goes_in_one_order_only(ask: Any, refused: Any) -> None:
    # US Army TM 1-1500-204-23-1 p. 9-5; USAF Flying Safety, August 2002
    order, done = [], {}
    while (stage := ask("safety/next-stage", done)["next_stage"]) is not None:
        order.append(stage)
        done = {"stage_done": stage}
    assert order == [
        "deflate_confirmed",
        "fluid_level_set",
        "valve_refitted",
        "gas_added",
        "measured",
        "leak_check",
        "recorded",
    ]
    assert ask("safety/next-stage", {"stage_claimed": "deflate_confirmed"})["next_stage"] == "fluid_level_set"
    assert refused("safety/next-stage", {"stage_claimed": "gas_added"}) == {("stage_claimed", "out_of_order")}
