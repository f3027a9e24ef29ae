"""Stages of servicing a strut keep their order."""

import itertools

import pytest

from calculations.errors import CalculationError
from calculations.servicing_stages import ServicingStage, advance, next_stage


def test_stages_follow_one_another():
    done = None
    for stage in ServicingStage:
        assert next_stage(done) is stage
        done = advance(done, stage)
    assert next_stage(done) is None


@pytest.mark.parametrize(("done", "claimed"), list(itertools.product([None, *ServicingStage], ServicingStage)))
def test_stages_out_of_order_are_refused(done, claimed):
    # order of TM 1-1500-204-23-1 p. 9-5/9-6 and Flying Safety Aug 2002
    if claimed == (done or 0) + 1:
        assert advance(done, claimed) is claimed
    else:
        with pytest.raises(CalculationError) as error:
            advance(done, claimed)
        assert error.value.faults[0].code == "out_of_order"
