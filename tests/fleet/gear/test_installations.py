"""Parts go on legs, come off and change places over HTTP."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.utils import timezone

from fleet.aircraft.models import Leg
from fleet.aircraft.outdated import outdated_legs
from fleet.audit.models import AuditEntry
from fleet.gear.kinds import STRUT, TYRE, PartKind
from fleet.operators.models import Operator
from tests.builders.fleet import a_leg, a_strut, a_tyre, an_operator, next_id
from tests.fleet.asking import faults, match, refused

pytestmark = pytest.mark.django_db
MAKE = {STRUT: a_strut, TYRE: a_tyre}


@pytest.fixture(params=[STRUT, TYRE], ids=lambda kind: kind.noun)
def kind(request: Any) -> PartKind:
    return request.param  # type: ignore[no-any-return]


@pytest.fixture
def leg(operator: Operator) -> Leg:
    return a_leg(operator)


@pytest.fixture
def client(operator: Operator, client_of: Any) -> Any:
    return client_of(operator, "mechanic")


def day(number: int) -> str:
    """Return a day of February 2026 as the API writes it."""
    return f"2026-02-{number:02d}T00:00:00Z"


def moment(number: int) -> datetime:
    return datetime(2026, 2, number, tzinfo=UTC)


def url(kind: PartKind, part: Any, deed: str) -> str:
    return f"/api/v1/{kind.plural}/{part.pk}/{deed}"


def stays(kind: PartKind, part: Any) -> list[tuple[Any, datetime, datetime | None]]:
    rows = kind.installations(part.operator_id).filter(**{kind.noun: part}).order_by("installed_at")
    return [(row.leg_id, row.installed_at, row.removed_at) for row in rows]


class TestInstall:
    def test_a_part_goes_on_a_leg(self, operator: Operator, client: Any, leg: Leg, kind: PartKind) -> None:
        part = MAKE[kind](operator)
        answer = client.post(
            url(kind, part, "installations"), {"leg": str(leg.pk), "installed_at": "2026-02-01T01:00:00+01:00"}
        )
        assert answer.status_code == 201
        assert {**answer.json(), "id": ""} == {
            "id": "",
            "part": str(part.pk),
            "leg": str(leg.pk),
            "position": "left main",
            "aircraft": str(leg.aircraft_id),
            "registration": leg.aircraft.registration,
            "installed_at": day(1),
            "removed_at": None,
            "removal_reason": "",
            "version": 1,
        }
        assert AuditEntry.objects.of(operator).get().action == f"{kind.noun} installed"
        assert [row.leg_id for row in outdated_legs()] == [leg.pk]

    @pytest.mark.parametrize(
        ("since", "until", "free"),
        [
            (1, 5, True),
            (1, 6, False),
            (6, 8, False),
            (9, 12, False),
            (10, 12, True),
            (1, 20, False),
            (20, None, False),
            (1, None, False),
            (14, 15, True),
            (14, 16, False),
        ],
    )
    def test_no_leg_holds_two_parts_at_a_time_in_the_past_neither(
        self, operator: Operator, client: Any, leg: Leg, kind: PartKind, since: int, until: int | None, free: bool
    ) -> None:
        first = MAKE[kind](operator)
        for begin, end in ((5, 10), (15, None)):
            kind.installation.objects.create(
                operator=operator,
                leg=leg,
                installed_at=moment(begin),
                removed_at=moment(end) if end else None,
                **{kind.noun: first},
            )
        body = {"leg": str(leg.pk), "installed_at": day(since), "removed_at": day(until) if until else None}
        answer = client.post(url(kind, MAKE[kind](operator), "installations"), body)
        if free:
            assert answer.status_code == 201, answer.json()
        else:
            assert refused(answer) == (409, "overlap")
            assert {field for field, _ in faults(answer)} == {"leg"}

    def test_no_part_is_on_two_legs_at_a_time(
        self, operator: Operator, client: Any, leg: Leg, kind: PartKind
    ) -> None:
        part = MAKE[kind](operator, leg, installed_at=moment(5))
        body = {"leg": str(a_leg(operator).pk), "installed_at": day(1)}
        answer = client.post(url(kind, part, "installations"), body)
        assert (*refused(answer), faults(answer)) == (409, "overlap", {(kind.noun, "part_taken")})
        assert leg.aircraft.registration in answer.json()["errors"][0]["message"]
        assert client.post(url(kind, part, "installations"), {**body, "removed_at": day(5)}).status_code == 201

    def test_a_repeat_with_the_same_key_gets_the_same_answer(
        self, operator: Operator, client: Any, leg: Leg, kind: PartKind
    ) -> None:
        body = {"leg": str(leg.pk), "installed_at": day(1)}
        target = url(kind, MAKE[kind](operator), "installations")
        first, again = (client.post(target, body, headers={"Idempotency-Key": "a"}) for _ in range(2))
        assert (first.status_code, again.content) == (201, first.content)

    def test_every_faulty_field_is_named(self, operator: Operator, client: Any, leg: Leg, kind: PartKind) -> None:
        target = url(kind, MAKE[kind](operator), "installations")
        wrong = {
            "id": "x",
            "leg": "x",
            "installed_at": "x",
            "removed_at": 1,
            "removal_reason": "x" * 201,
            "part": "x",
        }
        assert {field for field, _ in faults(client.post(target, wrong))} == set(wrong)
        ahead = (timezone.now() + timedelta(hours=1)).isoformat()
        late = client.post(target, {"leg": str(leg.pk), "installed_at": ahead, "removed_at": ahead})
        assert late.status_code == 422
        assert faults(late) == {("installed_at", "in_the_future"), ("removed_at", "in_the_future")}
        backwards = client.post(target, {"leg": str(leg.pk), "installed_at": day(2), "removed_at": day(2)})
        assert (backwards.status_code, faults(backwards)) == (422, {("removed_at", "before_installation")})

    def test_a_strangers_leg_or_part_is_404(self, operator: Operator, client: Any, leg: Leg, kind: PartKind) -> None:
        other = an_operator()
        own, strange = MAKE[kind](operator), MAKE[kind](other)
        body = {"leg": str(a_leg(other).pk), "installed_at": day(1)}
        assert refused(client.post(url(kind, own, "installations"), body)) == (404, "not_found")
        body["leg"] = str(leg.pk)
        assert refused(client.post(url(kind, strange, "installations"), body)) == (404, "not_found")
        assert refused(client.get(url(kind, strange, "installations"))) == (404, "not_found")


class TestComingOffAndChangingPlaces:
    def test_a_part_comes_off(self, operator: Operator, client: Any, leg: Leg, kind: PartKind) -> None:
        part = MAKE[kind](operator, leg, installed_at=moment(1))
        answer = client.post(url(kind, part, "removal"), {"removed_at": day(9), "reason": "leaks"})
        assert (answer.status_code, answer.json()["removed_at"]) == (200, day(9))
        assert answer.json()["removal_reason"] == "leaks"
        assert stays(kind, part) == [(leg.pk, moment(1), moment(9))]
        again = client.post(url(kind, part, "removal"), {"removed_at": day(9)})
        assert refused(again) == (409, "not_installed")

    def test_a_part_moves_to_an_empty_leg_and_takes_its_history_along(
        self, operator: Operator, client: Any, leg: Leg, kind: PartKind
    ) -> None:
        part, other = MAKE[kind](operator, leg, installed_at=moment(1)), a_leg(operator)
        answer = client.post(url(kind, part, "move"), {"leg": str(other.pk), "moved_at": day(9)})
        assert (answer.status_code, answer.json()["leg"]) == (201, str(other.pk))
        assert stays(kind, part) == [(leg.pk, moment(1), moment(9)), (other.pk, moment(9), None)]
        assert {row.leg_id for row in outdated_legs()} == {leg.pk, other.pk}

    def test_a_move_to_a_taken_leg_leaves_everything_as_it_was(
        self, operator: Operator, client: Any, leg: Leg, kind: PartKind
    ) -> None:
        part, other = MAKE[kind](operator, leg, installed_at=moment(1)), a_leg(operator)
        MAKE[kind](operator, other, installed_at=moment(20))
        answer = client.post(url(kind, part, "move"), {"leg": str(other.pk), "moved_at": day(9)})
        assert refused(answer) == (409, "overlap")
        assert stays(kind, part) == [(leg.pk, moment(1), None)]

    def test_two_parts_change_places(self, operator: Operator, client: Any, leg: Leg, kind: PartKind) -> None:
        other_leg = a_leg(operator)
        one = MAKE[kind](operator, leg, installed_at=moment(1))
        other = MAKE[kind](operator, other_leg, installed_at=moment(2))
        answer = client.post(url(kind, one, "swap"), {"other": str(other.pk), "swapped_at": day(9)})
        assert answer.status_code == 201
        assert [row["leg"] for row in answer.json()["installations"]] == [str(other_leg.pk), str(leg.pk)]
        assert stays(kind, one) == [(leg.pk, moment(1), moment(9)), (other_leg.pk, moment(9), None)]
        assert stays(kind, other) == [(other_leg.pk, moment(2), moment(9)), (leg.pk, moment(9), None)]

    def test_a_part_is_replaced(self, operator: Operator, client: Any, leg: Leg, kind: PartKind) -> None:
        old, new = MAKE[kind](operator, leg, installed_at=moment(1)), MAKE[kind](operator)
        body = {"by": str(new.pk), "replaced_at": day(9), "reason": "worn"}
        answer = client.post(url(kind, old, "replacement"), body)
        assert (answer.status_code, answer.json()["part"]) == (201, str(new.pk))
        assert (stays(kind, old), stays(kind, new)) == (
            [(leg.pk, moment(1), moment(9))],
            [(leg.pk, moment(9), None)],
        )
        actions = set(AuditEntry.objects.of(operator).values_list("action", flat=True))
        assert actions == {f"{kind.noun} removed", f"{kind.noun} installed"}

    def test_a_part_on_no_leg_can_neither_move_nor_swap_nor_be_replaced(
        self, operator: Operator, client: Any, leg: Leg, kind: PartKind
    ) -> None:
        stored, installed = MAKE[kind](operator), MAKE[kind](operator, leg)
        for deed, body in (
            ("move", {"leg": str(a_leg(operator).pk), "moved_at": day(9)}),
            ("swap", {"other": str(installed.pk), "swapped_at": day(9)}),
            ("replacement", {"by": str(installed.pk), "replaced_at": day(9)}),
        ):
            assert refused(client.post(url(kind, stored, deed), body)) == (409, "not_installed")
        swap = client.post(url(kind, installed, "swap"), {"other": str(stored.pk), "swapped_at": day(9)})
        assert refused(swap) == (409, "not_installed")
        same = client.post(url(kind, installed, "swap"), {"other": str(installed.pk), "swapped_at": day(9)})
        assert (same.status_code, faults(same)) == (422, {("other", "same_part")})

    @pytest.mark.parametrize("deed", ["removal", "move", "swap", "replacement"])
    def test_moments_before_the_installation_or_ahead_and_strangers_are_refused(
        self, operator: Operator, client: Any, leg: Leg, kind: PartKind, deed: str
    ) -> None:
        part = MAKE[kind](operator, leg, installed_at=moment(5))
        other = MAKE[kind](operator, a_leg(operator), installed_at=moment(5))
        field = {"removal": "removed_at", "move": "moved_at", "swap": "swapped_at", "replacement": "replaced_at"}[
            deed
        ]
        own: dict[str, Any] = {
            "removal": {},
            "move": {"leg": str(a_leg(operator).pk)},
            "swap": {"other": str(other.pk)},
            "replacement": {"by": str(MAKE[kind](operator).pk)},
        }[deed]
        early = client.post(url(kind, part, deed), {**own, field: day(5)})
        assert (early.status_code, faults(early)) == (422, {(field, "before_installation")})
        ahead = (timezone.now() + timedelta(hours=1)).isoformat()
        late = client.post(url(kind, part, deed), {**own, field: ahead})
        assert (late.status_code, faults(late)) == (422, {(field, "in_the_future")})
        wrong = client.post(
            url(kind, part, deed), {**dict.fromkeys(own, "x"), field: "x", "reason": "x" * 201, "z": 1}
        )
        assert {name for name, _ in faults(wrong)} == {*own, field, "reason", "z"}
        missing = client.post(url(kind, part, deed), {**{name: str(next_id()) for name in own}, field: day(9)})
        assert missing.status_code == (404 if own else 200)
        stranger = MAKE[kind](an_operator())
        assert refused(client.post(url(kind, stranger, deed), {**own, field: day(9)})) == (404, "not_found")

    @pytest.mark.parametrize("deed", ["installations", "removal", "move", "swap", "replacement"])
    def test_a_member_changes_nothing(self, operator: Operator, client_of: Any, kind: PartKind, deed: str) -> None:
        answer = client_of(operator, "member").post(url(kind, MAKE[kind](operator), deed), {})
        assert refused(answer) == (403, "role_too_low")

    def test_a_repeat_with_the_same_key_gets_the_same_answer(
        self, operator: Operator, client: Any, leg: Leg, kind: PartKind
    ) -> None:
        part = MAKE[kind](operator, leg, installed_at=moment(1))
        for key, deed, body in (
            ("a", "move", {"leg": str(a_leg(operator).pk), "moved_at": day(4)}),
            ("b", "replacement", {"by": str(MAKE[kind](operator).pk), "replaced_at": day(5)}),
        ):
            target = url(kind, part, deed)
            first, again = (client.post(target, body, headers={"Idempotency-Key": key}) for _ in range(2))
            assert (first.status_code, again.status_code, again.content) == (201, 201, first.content)


class TestPuttingRight:
    @pytest.fixture
    def row(self, operator: Operator, leg: Leg, kind: PartKind) -> Any:
        MAKE[kind](operator, leg, installed_at=moment(5))
        return kind.installations(operator).get()

    def target(self, kind: PartKind, row: Any) -> str:
        return f"/api/v1/{kind.noun}-installations/{row.pk}"

    def test_a_moment_is_put_right(self, operator: Operator, client: Any, kind: PartKind, row: Any) -> None:
        shown = client.get(self.target(kind, row))
        answer = client.patch(self.target(kind, row), {"installed_at": day(3)}, headers={"If-Match": shown["ETag"]})
        assert (answer.status_code, answer.json()["installed_at"], answer.json()["version"]) == (200, day(3), 2)
        entry = AuditEntry.objects.of(operator).get()
        assert entry.before == {"installed_at": "2026-02-05T00:00:00+00:00"}
        assert [marked.leg_id for marked in outdated_legs()] == [row.leg_id]

    def test_what_is_put_right_may_not_overlap(
        self, operator: Operator, client: Any, leg: Leg, kind: PartKind, row: Any
    ) -> None:
        client.post(f"/api/v1/{kind.plural}/{getattr(row, kind.noun).pk}/removal", {"removed_at": day(9)})
        MAKE[kind](operator, leg, installed_at=moment(9))
        for change in ({"removed_at": day(10)}, {"removed_at": None}):
            assert refused(client.patch(self.target(kind, row), change, headers=match(2))) == (409, "overlap")
        assert client.patch(self.target(kind, row), {"removed_at": day(8)}, headers=match(2)).status_code == 200

    def test_an_installation_that_never_was_is_taken_back(
        self, operator: Operator, client: Any, kind: PartKind, row: Any
    ) -> None:
        answer = client.delete(self.target(kind, row), headers=match())
        assert (answer.status_code, answer.content) == (204, b"")
        assert not kind.installations(operator).exists()
        entry = AuditEntry.objects.of(operator).get()
        assert (entry.action, entry.before["leg_id"]) == (f"{kind.noun} installation withdrawn", str(row.leg_id))

    def test_refusals(self, operator: Operator, client: Any, client_of: Any, kind: PartKind, row: Any) -> None:
        target = self.target(kind, row)
        assert refused(client.patch(target, {}, headers=match(2))) == (412, "stale_version")
        assert refused(client.delete(target, headers=match(2))) == (412, "stale_version")
        assert refused(client.patch(target, {})) == (428, "if_match_required")
        assert refused(client.delete(target)) == (428, "if_match_required")
        wrong = {"installed_at": None, "removed_at": "x", "removal_reason": "x" * 201, "leg": "x"}
        assert {name for name, _ in faults(client.patch(target, wrong, headers=match()))} == set(wrong)
        member, stranger = client_of(operator, "member"), client_of(an_operator())
        assert refused(member.patch(target, {}, headers=match())) == (403, "role_too_low")
        assert refused(member.delete(target, headers=match())) == (403, "role_too_low")
        for answer in (
            stranger.get(target),
            stranger.patch(target, {}, headers=match()),
            stranger.delete(target, headers=match()),
        ):
            assert refused(answer) == (404, "not_found")

    def test_where_a_part_was_is_listed_newest_first(
        self, operator: Operator, client: Any, leg: Leg, kind: PartKind, row: Any
    ) -> None:
        part = getattr(row, kind.noun)
        client.post(url(kind, part, "move"), {"leg": str(a_leg(operator).pk), "moved_at": day(9)})
        items = client.get(url(kind, part, "installations")).json()["items"]
        assert [(item["installed_at"], item["removed_at"]) for item in items] == [(day(9), None), (day(5), day(9))]
