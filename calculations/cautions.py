"""Which cautions go with each step that can hurt.

In our own words, see `calculations.caution_sentences`. They do not replace the aircraft's own manual, local rules or
a licensed person.
"""

from collections.abc import Iterable
from enum import StrEnum
from typing import Final

from calculations import caution_sentences as say
from calculations.caution_sentences import Caution


class Step(StrEnum):
    """Kinds of step that carry cautions."""

    ANY = "any"
    MEASURE = "measure"
    MOVE_NEAR_AIRCRAFT = "move_near_aircraft"
    EXERCISE = "exercise"
    GAS_CHARGE = "gas_charge"
    GAS_RELEASE = "gas_release"
    HAND_PUMP = "hand_pump"
    MULTIPLIER = "multiplier"
    CYLINDER = "cylinder"
    FLUID = "fluid"
    VALVE = "valve"
    JACKING = "jacking"
    TYRE_INFLATION = "tyre_inflation"
    TYRE_REMOVAL = "tyre_removal"
    TYRE_CHECK = "tyre_check"
    NEW_SEALS = "new_seals"


CAUTIONS: Final[dict[Step, tuple[Caution, ...]]] = {
    Step.ANY: (say.OWN_MANUAL,),
    Step.MEASURE: (say.CHOCKS, say.FINGERS),
    Step.MOVE_NEAR_AIRCRAFT: (say.PROPELLER, say.FINGERS),
    Step.EXERCISE: (say.PROPELLER, say.FINGERS, say.LIGHT_ROCKING),
    Step.GAS_CHARGE: (
        say.STAND_ASIDE,
        say.SLOWLY,
        say.RIGHT_AMOUNT,
        say.DRY_GAS,
        say.NO_OXYGEN,
        say.FINGERS,
        say.LEAK_CHECK,
    ),
    Step.GAS_RELEASE: (say.STAND_ASIDE, say.RELEASE_SLOWLY, say.SPRAY, say.FINGERS, say.LEAK_CHECK),
    Step.HAND_PUMP: (say.LINE,),
    Step.MULTIPLIER: (say.DRIVE_AIR,),
    Step.CYLINDER: (say.REGULATOR, say.NO_OXYGEN, say.SECURE_CYLINDER, say.ASPHYXIATION),
    Step.FLUID: (
        say.RELEASE_FIRST,
        say.RELEASE_IN_ORDER,
        say.STAND_ASIDE,
        say.FLUID_AND_GAS,
        say.FLUID_COMPRESSED,
        say.FLUID_BY_HOSE,
        say.FLUID_KIND,
        say.SPRAY,
        say.PISTON,
        say.FLUID_SETTLES,
    ),
    Step.VALVE: (
        say.RELEASE_FIRST,
        say.RELEASE_IN_ORDER,
        say.STAND_ASIDE,
        say.SPRAY,
        say.VALVE_KIND,
        say.STRUT_CORE,
        say.VALVE_TORQUE,
        say.LEAK_CHECK,
    ),
    Step.JACKING: (say.JACKS, say.FINGERS),
    Step.TYRE_INFLATION: (
        say.TYRE_COLD,
        say.TYRE_NITROGEN,
        say.NO_OXYGEN,
        say.TYRE_CAGE,
        say.STAND_ASIDE,
        say.REGULATOR,
    ),
    Step.TYRE_REMOVAL: (say.TYRE_DEFLATE, say.JACKS),
    Step.TYRE_CHECK: (say.TYRE_COLD, say.TYRE_PROBE, say.TYRE_APPROACH),
    Step.NEW_SEALS: (say.RELEASE_FIRST, say.RELEASE_IN_ORDER, say.GLAND_NUT, say.PISTON, say.HOUR),
}


def cautions_for(steps: Iterable[Step]) -> tuple[Caution, ...]:
    """Return the cautions of several steps, each once, the general one first.

    Parameters
    ----------
    steps : iterable of Step
        What is about to be done.

    Returns
    -------
    tuple of Caution
        In order of first mention.

    References
    ----------
    .. [1] The sources named with each caution.

    Examples
    --------
    >>> [caution.code for caution in cautions_for([Step.HAND_PUMP])]
    ['own_manual', 'pump_force']
    """
    ordered = (caution for step in (Step.ANY, *steps) for caution in CAUTIONS[step])
    return tuple(dict.fromkeys(ordered))
