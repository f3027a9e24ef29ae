"""Cautions say what the sources say, in our words."""

import itertools

import pytest

from calculations.caution_sentences import Caution
from calculations.cautions import CAUTIONS, Step, cautions_for

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
        # ... two gauges of the inflator, 10-150 and 136-480 psi
        (Step.TYRE_INFLATION, "regulator", ("20 psi", "10-150 psi", "136-480 psi"), "NAVEDTRA 14315 ch. 7"),
        # oxygen and oil mist
        (Step.GAS_CHARGE, "no_oxygen", ("oxygen", "oil"), "from memory"),
        (Step.TYRE_INFLATION, "no_oxygen", ("oxygen",), "from memory"),
        # cylinder secured and capped
        (Step.CYLINDER, "secure_cylinder", ("cap",), "1910.101"),
        # core depressed, then the swivel nut slowly, the valve last
        (Step.VALVE, "release_in_order", ("core", "swivel nut", "slowly"), "TM 1-1500-204-23-1 pp. 9-5, 9-6"),
        (Step.FLUID, "release_in_order", ("core", "swivel nut", "slowly"), "TM 1-1500-204-23-1 pp. 9-5, 9-6"),
        # pressure or extension by the strut's plate; over-pressure keeps it extended, low pressure moves no seals
        (Step.GAS_CHARGE, "right_amount", ("pressure", "extension", "plate"), "TM 1-1500-204-23-1 p. 9-6"),
        (Step.GAS_CHARGE, "right_amount", ("extended after take-off", "seals"), "NAVEDTRA 14315 ch. 13"),
        # AN6287-1: core, 5/8 in, 3000 psi; MS28889-1: no core, 3/4 in, 5000 psi
        (
            Step.VALVE,
            "valve_kind",
            ("AN6287-1", "5/8 in", "3000 psi", "MS28889-1", "3/4 in", "5000 psi"),
            "FAA-H-8083-31B ch. 13, from memory",
        ),
        # "H" core; body 100-110 in-lb, swivel nut 50-70 in-lb
        (
            Step.VALVE,
            "strut_core",
            ("AN809-1", '"H"', "tyre core", "lead", "synthetic rubber"),
            "TM 1-1500-204-23-2 p. 4-196",
        ),
        (
            Step.VALVE,
            "valve_torque",
            ("100-110 in-lb", "50-70 in-lb", "O-ring", "lock wire"),
            "NAVEDTRA 14315 ch. 13",
        ),
        # cap is the secondary seal, and goes on finger-tight
        (Step.GAS_CHARGE, "leak_check", ("leak fluid", "cap", "second seal"), "NAVEDTRA 14018"),
        (Step.VALVE, "leak_check", ("finger-tight",), "TM 1-1500-204-23-1 p. 9-6"),
        # a leaking gland nut is tightened deflated
        (Step.NEW_SEALS, "gland_nut", ("all pressure",), "NAVEDTRA 14315 ch. 13"),
        # one hour without leakage after overhaul
        (Step.NEW_SEALS, "leak_hour", ("one hour",), "NAVEDTRA 14315"),
        # fluid is set fully compressed
        (Step.FLUID, "fluid_when_compressed", ("fully compressed",), "Flying Safety"),
        (Step.FLUID, "fluid_when_compressed", ("port",), "TM 1-1500-204-23-1 p. 9-6"),
        # at least seven mishaps in six years
        (Step.FLUID, "fluid_when_compressed", ("seven mishaps", "six years"), "August 2002"),
        (Step.FLUID, "fluid_kind", ("MIL-PRF-5606", "MIL-PRF-83282"), "Flying Safety"),
        # level and pressure both matter; the manual before the level is checked
        (Step.FLUID, "fluid_and_gas", ("both matter", "manual"), "NAVEDTRA 14018"),
        # hose method: no bubbles, fully compressed, core refitted, lowered, nitrogen to the proper extension
        (
            Step.FLUID,
            "fluid_by_hose",
            ("jacks", "no bubbles", "fully compressed", "core", "nitrogen to the proper extension"),
            "AC 43.13-1B CHG 1 para. 9-4",
        ),
        # nicks filed and burnished, cracks replaced; torque links and shimmy damper checked
        (
            Step.NEW_SEALS,
            "piston_surface",
            ("nicks", "burnished", "cracked", "torque links", "shimmy damper"),
            "AC 43.13-1B CHG 1 para. 9-4",
        ),
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


def test_figures_that_hold_for_one_type_only_are_no_caution():
    # a light single's manual, para. 2-35: filler plug 350-400 in-lb; NAVEDTRA 14315: 1.75 in -> 550 psi
    text = " ".join(caution.text for caution in EVERY.values())
    assert not any(figure in text for figure in ("350-400", "550 psi"))


@pytest.mark.parametrize("step", [Step.GAS_CHARGE, Step.GAS_RELEASE, Step.VALVE, Step.FLUID, Step.TYRE_INFLATION])
def test_whoever_stands_before_a_valve_under_pressure_is_told_to_stand_aside(step):
    # NAVEDTRA 14018 ch. 12: stand clear of the valve
    assert "stand_aside" in {caution.code for caution in CAUTIONS[step]}


def test_cautions_of_several_steps_come_once_with_the_manual_first():
    codes = [caution.code for caution in cautions_for([Step.GAS_CHARGE, Step.CYLINDER, Step.GAS_CHARGE])]
    assert codes[0] == "own_manual"
    assert len(codes) == len(set(codes))
    assert {"no_oxygen", "regulator", "charge_slowly"} <= set(codes)
