"""Cautions say what the sources say, in our words, and stages of servicing keep their order."""

import itertools

import pytest

from calculations.cautions import CAUTIONS, Caution, ServicingStage, Step, advance, cautions_for, next_stage
from calculations.errors import CalculationError

EVERY = {caution.code: caution for caution in itertools.chain.from_iterable(CAUTIONS.values())}


def test_every_step_has_cautions_with_source_and_sentence():
    assert CAUTIONS.keys() == set(Step)
    assert all(isinstance(c, Caution) and c.text.endswith(".") and c.source for c in EVERY.values())


def test_codes_are_unique():
    assert len(EVERY) == len({caution.text for caution in EVERY.values()})


# Facts that must be there, each with its source
@pytest.mark.parametrize(
    ("step", "code", "words", "source"),
    [
        # release all pressure, rock, confirm collapse before core or valve
        (Step.VALVE, "release_all_first", ("all pressure", "rock", "collapse", "core"), "TM 1-1500-204-23-1"),
        (Step.FLUID, "release_all_first", ("all pressure",), "NAVEDTRA 14018"),
        # stand clear of the valve
        (Step.GAS_RELEASE, "stand_aside", ("side", "eye"), "NAVEDTRA 14018"),
        # inflate slowly, from dry air or nitrogen
        (Step.GAS_CHARGE, "charge_slowly", ("slowly", "hot"), "TM 1-1500-204-23-1"),
        (Step.GAS_CHARGE, "dry_gas", ("nitrogen", "dry air"), "TM 1-1500-204-23-1"),
        # never oxygen, never unregulated bottle; relief valve 20 psi above the highest pressure needed
        (Step.CYLINDER, "no_oxygen", ("Never use oxygen",), "from memory"),
        (Step.CYLINDER, "regulator", ("regulator", "relief valve", "20 psi", "slowly"), "NAVEDTRA 14315 ch. 7"),
        (Step.CYLINDER, "asphyxiation", ("Nitrogen",), "from memory"),
        # "H" core; body 100-110 in-lb, swivel nut 50-70 in-lb
        (Step.VALVE, "strut_core", ('"H"', "tyre core", "lead"), "TM 1-1500-204-23-2 p. 4-196"),
        (Step.VALVE, "valve_torque", ("100-110 in-lb", "50-70 in-lb", "O-ring"), "NAVEDTRA 14315 ch. 13"),
        # cap is the secondary seal
        (Step.GAS_CHARGE, "leak_check", ("leak fluid", "cap", "second seal"), "NAVEDTRA 14018"),
        # one hour without leakage after overhaul
        (Step.NEW_SEALS, "leak_hour", ("one hour",), "NAVEDTRA 14315"),
        # fluid is set fully compressed
        (Step.FLUID, "fluid_when_compressed", ("fully compressed",), "Flying Safety"),
        # tyres: deflate first, cage for new assemblies, cold readings, no probing
        (Step.TYRE_REMOVAL, "tyre_deflate_first", ("all gas", "core"), "care manual"),
        (Step.TYRE_INFLATION, "tyre_cage", ("cage",), "AC 43.13-1B"),
        # AC 20-97B, as care manuals repeat it: dry nitrogen is recommended
        (Step.TYRE_INFLATION, "tyre_nitrogen", ("dry nitrogen",), "AC 20-97B"),
        (Step.TYRE_CHECK, "tyre_cold", ("two hours", "never let a hot tyre down"), "SAFO 09012"),
        (Step.TYRE_CHECK, "no_probing", ("inflated",), "9-14"),
    ],
)
def test_facts_of_the_sources_are_told(step, code, words, source):
    caution = next(c for c in CAUTIONS[step] if c.code == code)
    assert all(word in caution.text for word in words)
    assert source in caution.source


def test_cautions_of_several_steps_come_once_with_the_manual_first():
    codes = [caution.code for caution in cautions_for([Step.GAS_CHARGE, Step.CYLINDER, Step.GAS_CHARGE])]
    assert codes[0] == "own_manual"
    assert len(codes) == len(set(codes))
    assert {"no_oxygen", "regulator", "charge_slowly"} <= set(codes)


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
