"""What each group of strokes did, as the steps tell it."""

import uuid
from dataclasses import dataclass

import pytest

from servicing.work.segments import DoseSeen, learned_from, progress_of

PUMP = uuid.UUID(int=1)


@dataclass(frozen=True)
class Given:
    corrected_in: float
    exercised: str = "rocked"
    amount: float = 0.0
    released: bool = False
    hose_connected: bool = False
    equipment_id: uuid.UUID | None = PUMP
    extension_before_in: float | None = None

    @property
    def extension_in(self) -> float:
        return self.corrected_in  # read at the sheet's own conditions

    @property
    def corrected_before_in(self) -> float | None:
        return self.extension_before_in


def test_a_dose_between_two_exercised_readings_is_one_settled_group():
    found = progress_of([Given(3.0), Given(4.0, amount=4, hose_connected=True)])

    assert found.seen == (DoseSeen(4, 1.0, 1, True, False, PUMP, "rocked"),)
    assert found.pending is None


def test_strokes_since_the_strut_was_exercised_are_pending():
    found = progress_of([Given(2.4), Given(2.5, "not", 3), Given(2.6, "not", 3)])

    assert found.seen == ()
    assert (found.pending.amount, round(found.pending.rise_in, 6), found.exercised) == (6, 0.2, False)


def test_a_look_after_exercise_closes_the_group_with_all_of_its_rise():
    found = progress_of([Given(2.4), Given(2.5, "not", 3), Given(2.6, "not", 3), Given(3.9, "taxied")])

    assert [(seen.amount, round(seen.rise_in, 6)) for seen in found.seen] == [(6, 1.5)]
    assert found.pending is None


def test_a_group_that_began_on_a_resting_strut_is_not_settled():
    found = progress_of([Given(3.0, "not"), Given(4.0, amount=4)])

    assert found.seen[0].settled is False


@pytest.mark.parametrize("other", [{"released": True}, {"equipment_id": uuid.UUID(int=2)}])
def test_gas_both_ways_or_by_two_pumps_within_one_group_teaches_nothing(other):
    steps = [Given(5.0), Given(4.4, "not", 2, **other), Given(4.5, "not", 1)]
    freed = progress_of([*steps, Given(5.4, "flown"), Given(6.0, amount=2)])

    assert progress_of(steps).pending.mixed
    assert [seen.teaches for seen in freed.seen] == [False, True]


def test_a_length_found_before_a_dose_is_counted_from_where_it_differs_from_the_last_read():
    steps = [
        Given(3.0),
        Given(4.0, amount=4, extension_before_in=2.5),
        Given(5.0, amount=4, extension_before_in=4.05),
    ]

    assert [(round(seen.rise_in, 6), seen.settled) for seen in progress_of(steps).seen] == [(1.5, False), (1.0, True)]
    assert progress_of([Given(1.0), Given(2.0, amount=4, extension_before_in=0.0)]).seen[0].on_stop


def test_a_length_that_goes_back_after_stronger_exercise_by_more_than_readings_differ_teaches_nothing():
    fill = [Given(3.0), Given(4.0, amount=4)]
    release = [Given(5.0), Given(4.0, amount=2, released=True)]

    for steps, back in ((fill, -1), (release, 1)):
        assert not progress_of([*steps, Given(4.0 + back * 0.18, "flown")]).seen[0].teaches
        assert progress_of([*steps, Given(4.0 + back * 0.16, "flown")]).seen[0].teaches
        assert progress_of([*steps, Given(4.0 - back * 0.6, "flown")]).seen[0].teaches


def test_several_sessions_are_learned_from_together():
    sessions = [[Given(3.0), Given(4.0, amount=4)], [], [Given(3.5), Given(4.1, amount=2)]]

    assert [seen.amount for seen in learned_from(sessions)] == [4, 2]


def test_a_rise_that_shows_only_after_stronger_exercise_belongs_to_the_strokes_before():
    found = progress_of([Given(2.4), Given(2.6, "rocked", 6), Given(3.9, "flown")])

    assert [(seen.amount, round(seen.rise_in, 6), seen.exercised) for seen in found.seen] == [(6, 1.5, "flown")]


def test_a_second_look_that_contradicts_the_first_is_believed_of_the_strokes_before():
    # 4.6 in typed 3.6: the strokes raised it by an inch more than was thought; and the other way they teach nothing
    steps = [Given(3.4), Given(3.6, "rocked", 4), Given(4.6, "rocked")]

    assert [(round(seen.rise_in, 6), seen.teaches) for seen in progress_of(steps).seen] == [(1.2, True)]
    assert not progress_of([Given(3.4), Given(5.6, "rocked", 4), Given(4.6, "rocked")]).seen[0].teaches
    assert progress_of([Given(3.4), Given(4.6, "rocked", 4), Given(4.0, "not")]).seen[0].rise_in == 4.6 - 3.4


def test_a_second_look_after_the_same_exercise_adds_nothing_to_the_strokes_before():
    found = progress_of([Given(2.4), Given(3.4, "rocked", 4), Given(3.3, "rocked")])

    assert round(found.seen[0].rise_in, 6) == 1.0
    assert found.extension_in == 3.3


def test_a_group_that_touched_the_stop_is_marked_and_the_next_is_not():
    steps = [Given(0.0), Given(0.0, amount=4), Given(1.0, amount=6), Given(2.0, amount=4)]

    assert [seen.on_stop for seen in progress_of(steps).seen] == [True, True, False]
    assert progress_of([Given(0.5), Given(0.02, amount=2, released=True)]).seen[0].on_stop


def test_a_group_that_touched_the_upper_stop_is_marked_where_the_stop_is_known():
    steps = [
        Given(6.0),
        Given(7.97, amount=9),
        Given(7.8, amount=2, released=True),
        Given(7.0, amount=2, released=True),
    ]

    assert [seen.on_stop for seen in progress_of(steps, 8.0).seen] == [True, True, False]
    assert [seen.on_stop for seen in progress_of(steps).seen] == [False] * 3
