"""Sentences that go with each step that can hurt, and the order in which a strut is serviced.

In our own words. They do not replace the aircraft's own manual, local rules or a licensed person.

References
----------
.. [1] US Army TM 1-1500-204-23-1 and -2, *Aviation Unit and Intermediate Maintenance*: shock struts.
.. [2] NAVEDTRA 14018 and 14315, *Aviation Structural Mechanic*: struts, valves, tyres.
.. [3] FAA AC 43.13-1B change 1, paragraphs 9-4, 9-14, 9-17, 9-18.
.. [4] USAF *Flying Safety*, August 2002: fluid is set with the strut fully compressed.
.. [5] 29 CFR 1910.101 and CGA P-1: compressed gas cylinders; from memory, source not seen.
.. [6] A tyre maker's care manual, section 11: deflate before dismounting.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import Final

from calculations.errors import refuse


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


@dataclass(frozen=True, slots=True)
class Caution:
    """One sentence and where it comes from.

    Parameters
    ----------
    code : str
        Stable name, for clients that translate.
    text : str
        In our words.
    source : str
        Citation with how it was seen.
    """

    code: str
    text: str
    source: str


_ARMY = "US Army TM 1-1500-204-23-1"
_ARMY_2 = "US Army TM 1-1500-204-23-2"
_NAVY = "NAVEDTRA 14018"
_NAVY_315 = "NAVEDTRA 14315"
_TRADE = "common practice, no source"
_OXYGEN = "common practice; ignition of oil mist in oxygen from memory, source not seen"
_CYLINDERS = "29 CFR 1910.101, CGA P-1; from memory, source not seen"

_OWN_MANUAL = Caution(
    "own_manual",
    "The aircraft's own maintenance manual, local rules and a licensed person go before anything said here.",
    _TRADE,
)
_PROPELLER = Caution(
    "propeller",
    "Ignition off, keys out; treat the propeller as live and keep clear of its arc while the aircraft is rocked.",
    _TRADE,
)
_FINGERS = Caution(
    "fingers",
    "Keep hands and rulers out of torque links and from under the aircraft whenever it can move: a strut may drop "
    "or jump by inches without warning.",
    _TRADE,
)
_CHOCKS = Caution("chocks", "Chock the wheels and set the aircraft level before reading or charging a strut.", _TRADE)
_LIGHT_ROCKING = Caution(
    "rock_gently",
    "Rock by spar, strut or tail tie-down as the manual allows, with everyone warned; never with a hose connected "
    "that could be torn off.",
    _TRADE,
)
_STAND_ASIDE = Caution(
    "stand_aside", "Stand to the side of the valve, never in line with it, and wear eye protection.", _NAVY
)
_SLOWLY = Caution(
    "charge_slowly", "Charge slowly: gas that goes in fast is hot, and a sticky strut may overshoot.", _ARMY
)
_DRY_GAS = Caution("dry_gas", "Use dry nitrogen or dry air.", _ARMY)
_NO_OXYGEN = Caution("no_oxygen", "Never use oxygen: with oil mist under pressure it burns or explodes.", _OXYGEN)
_REGULATOR = Caution(
    "regulator",
    "Never connect a strut or tyre straight to a cylinder: use a regulator and a relief valve set 20 psi above the "
    "highest pressure needed, and open the cylinder slowly.",
    f"{_NAVY_315} ch. 7; {_ARMY}",
)
_SECURE_CYLINDER = Caution(
    "secure_cylinder", "Chain the cylinder upright, and cap it whenever it is moved.", _CYLINDERS
)
_ASPHYXIATION = Caution(
    "asphyxiation",
    "Nitrogen let out in a closed room displaces the air one breathes: open the hangar door.",
    _CYLINDERS,
)
_RELEASE_FIRST = Caution(
    "release_all_first",
    "Let out all pressure, rock the aircraft, and see the strut collapse before a valve core or valve is taken out.",
    f"{_ARMY}; {_NAVY}",
)
_RELEASE_SLOWLY = Caution(
    "release_slowly",
    "Let gas out in short bursts and look again after each: the strut settles late, and too much is soon out.",
    _TRADE,
)
_SPRAY = Caution(
    "oil_spray", "Gas let out carries oil: shield the valve with a rag and protect eyes and skin.", _ARMY
)
_STRUT_CORE = Caution(
    "strut_core",
    'A strut takes a high-pressure core with "H" on its head; a tyre core must not be used in it, nor a lead plug.',
    f"{_ARMY_2} p. 4-196",
)
_VALVE_TORQUE = Caution(
    "valve_torque",
    "Torque the valve by the aircraft's manual; typical of the military type are body 100-110 in-lb and swivel nut "
    "50-70 in-lb, with a new O-ring.",
    f"{_NAVY_315} ch. 13",
)
_LEAK_CHECK = Caution(
    "leak_check", "Check the core with leak fluid, then refit the cap: it is the second seal.", _NAVY
)
_HOUR = Caution(
    "leak_hour",
    "After new seals, no leak may show in one hour at normal extended pressure.",
    f"{_NAVY_315}, bench test",
)
_FLUID_COMPRESSED = Caution(
    "fluid_when_compressed",
    "The fluid level is set with the strut fully compressed; only then is gas added.",
    "USAF Flying Safety, August 2002; FAA AC 43.13-1B CHG 1 para. 9-4",
)
_FLUID_KIND = Caution(
    "fluid_kind",
    "Use only the fluid on the placard or in the manual; phosphate ester destroys the seals.",
    "compatibility from memory, source not seen",
)
_FLUID_SETTLES = Caution(
    "fluid_takes_up_gas",
    "Fresh fluid takes up gas for some days, so the strut settles without a leak: read it again before judging.",
    "computed from a nitrogen solubility from memory, source not seen",
)
_JACKS = Caution(
    "jacks", "Jack at the points and to the limits of the manual, with the aircraft's tail or nose held.", _TRADE
)
_PISTON = Caution(
    "piston_surface",
    "Wipe the tube clean before it goes back in: dirt and nicks cut the seal.",
    "FAA AC 43.13-1B para. 9-4",
)
_LINE = Caution(
    "pump_force", "Near the top of its range a hand pump pushes back hard: brace it, and do not lean over it.", _TRADE
)
_DRIVE_AIR = Caution(
    "drive_air", "Set the drive pressure so that the pump stalls below the highest pressure allowed.", _TRADE
)
_TYRE_CAGE = Caution(
    "tyre_cage", "Inflate a newly assembled wheel in a cage, with a clip-on chuck and a long hose.",
    "FAA AC 43.13-1B paras. 9-17, 9-18",
)  # fmt: skip
_TYRE_NITROGEN = Caution(
    "tyre_nitrogen", "Fill tyres with dry nitrogen where there is any.", "FAA AC 20-97B, as care manuals repeat it"
)
_TYRE_COLD = Caution(
    "tyre_cold", "Read and set tyres cold, two hours after rolling; never let a hot tyre down.", "FAA SAFO 09012"
)
_TYRE_DEFLATE = Caution(
    "tyre_deflate_first",
    "Let out all gas before the wheel comes off or its bolts are loosened; the core itself can fly out.",
    f"a tyre maker's care manual, section 11; {_NAVY}",
)
_TYRE_APPROACH = Caution(
    "hot_brakes", "Approach a hot or damaged wheel from front or rear, never from the side.", _TRADE
)
_TYRE_PROBE = Caution("no_probing", "Never probe a cut while the tyre is inflated.", "FAA AC 43.13-1B para. 9-14")

CAUTIONS: Final[dict[Step, tuple[Caution, ...]]] = {
    Step.ANY: (_OWN_MANUAL,),
    Step.MEASURE: (_CHOCKS, _FINGERS),
    Step.MOVE_NEAR_AIRCRAFT: (_PROPELLER, _FINGERS),
    Step.EXERCISE: (_PROPELLER, _FINGERS, _LIGHT_ROCKING),
    Step.GAS_CHARGE: (_STAND_ASIDE, _SLOWLY, _DRY_GAS, _NO_OXYGEN, _FINGERS, _LEAK_CHECK),
    Step.GAS_RELEASE: (_STAND_ASIDE, _RELEASE_SLOWLY, _SPRAY, _FINGERS, _LEAK_CHECK),
    Step.HAND_PUMP: (_LINE,),
    Step.MULTIPLIER: (_DRIVE_AIR,),
    Step.CYLINDER: (_REGULATOR, _NO_OXYGEN, _SECURE_CYLINDER, _ASPHYXIATION),
    Step.FLUID: (_RELEASE_FIRST, _FLUID_COMPRESSED, _FLUID_KIND, _SPRAY, _PISTON, _FLUID_SETTLES),
    Step.VALVE: (_RELEASE_FIRST, _STRUT_CORE, _VALVE_TORQUE, _LEAK_CHECK),
    Step.JACKING: (_JACKS, _FINGERS),
    Step.TYRE_INFLATION: (_TYRE_COLD, _TYRE_NITROGEN, _TYRE_CAGE, _STAND_ASIDE, _REGULATOR),
    Step.TYRE_REMOVAL: (_TYRE_DEFLATE, _JACKS),
    Step.TYRE_CHECK: (_TYRE_COLD, _TYRE_PROBE, _TYRE_APPROACH),
    Step.NEW_SEALS: (_RELEASE_FIRST, _PISTON, _HOUR),
}


class ServicingStage(IntEnum):
    """Full servicing of a strut, in the only order that is safe and right."""

    DEFLATE_CONFIRMED = 1
    FLUID_LEVEL_SET = 2
    VALVE_REFITTED = 3
    GAS_ADDED = 4
    MEASURED = 5
    LEAK_CHECK = 6
    RECORDED = 7


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


def next_stage(done: ServicingStage | None) -> ServicingStage | None:
    """Return the stage that comes after one, None after the last.

    Parameters
    ----------
    done : ServicingStage or None
        Last stage that is done; None when nothing is.

    Returns
    -------
    ServicingStage or None
        What comes now.

    References
    ----------
    .. [1] US Army TM 1-1500-204-23-1, p. 9-5; USAF Flying Safety, August 2002.

    Examples
    --------
    >>> next_stage(ServicingStage.FLUID_LEVEL_SET).name
    'VALVE_REFITTED'
    """
    following = 1 if done is None else done + 1
    return ServicingStage(following) if following in set(ServicingStage) else None


def advance(done: ServicingStage | None, claimed: ServicingStage) -> ServicingStage:
    """Accept the stage that comes next and refuse any other.

    Parameters
    ----------
    done : ServicingStage or None
        Last stage that is done.
    claimed : ServicingStage
        Stage that is said to be done now.

    Returns
    -------
    ServicingStage
        The claimed stage.

    Raises
    ------
    CalculationError
        If stages were skipped or come again.

    References
    ----------
    .. [1] US Army TM 1-1500-204-23-1, p. 9-5; USAF Flying Safety, August 2002.

    Examples
    --------
    >>> advance(None, ServicingStage.DEFLATE_CONFIRMED).name
    'DEFLATE_CONFIRMED'
    """
    expected = next_stage(done)
    if claimed is not expected:
        wanted = "nothing: all stages are done" if expected is None else expected.name.lower()
        raise refuse("stage", "out_of_order", f"next is {wanted}, not {claimed.name.lower()}")
    return claimed
