"""What is told with steps that can hurt: one sentence each, in our own words, and where it comes from.

They do not replace the aircraft's own manual, local rules or a licensed person.

References
----------
.. [1] US Army TM 1-1500-204-23-1 and -2, *Aviation Unit and Intermediate Maintenance*: shock struts.
.. [2] NAVEDTRA 14018 and 14315, *Aviation Structural Mechanic*: struts, valves, tyres.
.. [3] FAA AC 43.13-1B change 1, paragraphs 9-4, 9-14, 9-17, 9-18.
.. [4] USAF *Flying Safety*, August 2002: fluid is set with the strut fully compressed.
.. [5] 29 CFR 1910.101 and CGA P-1: compressed gas cylinders; from memory, source not seen.
.. [6] FAA-H-8083-31B, *Aviation Maintenance Technician Handbook, Airframe*, chapter 13; from memory, source not seen.
.. [7] A tyre maker's care manual, section 11: deflate before dismounting.
"""

from dataclasses import dataclass


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

OWN_MANUAL = Caution(
    "own_manual",
    "The aircraft's own maintenance manual, local rules and a licensed person go before anything said here.",
    _TRADE,
)
PROPELLER = Caution(
    "propeller",
    "Ignition off, keys out; treat the propeller as live and keep clear of its arc while the aircraft is rocked.",
    _TRADE,
)
FINGERS = Caution(
    "fingers",
    "Keep hands and rulers out of torque links and from under the aircraft whenever it can move: a strut may drop "
    "or jump by inches without warning.",
    _TRADE,
)
CHOCKS = Caution("chocks", "Chock the wheels and set the aircraft level before reading or charging a strut.", _TRADE)
LIGHT_ROCKING = Caution(
    "rock_gently",
    "Rock by spar, strut or tail tie-down as the manual allows, with everyone warned; never with a hose connected "
    "that could be torn off.",
    _TRADE,
)
STAND_ASIDE = Caution(
    "stand_aside", "Stand to the side of the valve, never in line with it, and wear eye protection.", _NAVY
)
SLOWLY = Caution(
    "charge_slowly", "Charge slowly: gas that goes in fast is hot, and a sticky strut may overshoot.", _ARMY
)
RIGHT_AMOUNT = Caution(
    "right_amount",
    "Charge by pressure or by extension as the strut's plate says, and no further: too much gas can keep a strut "
    "extended after take-off, too little may not move its seals.",
    f"{_ARMY} p. 9-6; {_NAVY_315} ch. 13",
)
DRY_GAS = Caution("dry_gas", "Use dry nitrogen or dry air.", _ARMY)
NO_OXYGEN = Caution("no_oxygen", "Never use oxygen: with oil mist under pressure it burns or explodes.", _OXYGEN)
REGULATOR = Caution(
    "regulator",
    "Never connect a strut or tyre straight to a cylinder: use a regulator, a relief valve set 20 psi above the "
    "highest pressure needed, and a gauge of the right range (such as 10-150 psi for low and 136-480 psi for high "
    "pressures), and open the cylinder slowly.",
    f"{_NAVY_315} ch. 7; {_ARMY}",
)
SECURE_CYLINDER = Caution(
    "secure_cylinder", "Chain the cylinder upright, and cap it whenever it is moved.", _CYLINDERS
)
ASPHYXIATION = Caution(
    "asphyxiation",
    "Nitrogen let out in a closed room displaces the air one breathes: open the hangar door.",
    _CYLINDERS,
)
RELEASE_FIRST = Caution(
    "release_all_first",
    "Let out all pressure, rock the aircraft, and see the strut collapse before a valve core or valve is taken out.",
    f"{_ARMY}; {_NAVY}",
)
RELEASE_IN_ORDER = Caution(
    "release_in_order",
    "Depress the core first, then turn the swivel nut slowly; the valve itself comes out last, when the strut has "
    "collapsed.",
    f"{_ARMY} pp. 9-5, 9-6",
)
RELEASE_SLOWLY = Caution(
    "release_slowly",
    "Let gas out in short bursts and look again after each: the strut settles late, and too much is soon out.",
    _TRADE,
)
SPRAY = Caution("oil_spray", "Gas let out carries oil: shield the valve with a rag and protect eyes and skin.", _ARMY)
STRUT_CORE = Caution(
    "strut_core",
    'A strut takes a high-pressure core (AN809-1) with "H" on its head and a plug of synthetic rubber; a tyre core '
    "must not be used in it, nor one with a lead plug.",
    f"{_ARMY_2} p. 4-196",
)
VALVE_TORQUE = Caution(
    "valve_torque",
    "Torque the valve by the aircraft's manual; typical of the military type are body 100-110 in-lb and swivel nut "
    "50-70 in-lb, with a new O-ring, and lock wire after that.",
    f"{_NAVY_315} ch. 13",
)
VALVE_KIND = Caution(
    "valve_kind",
    "High-pressure valves look alike: AN6287-1 has a core, a 5/8 in swivel nut and a rating of 3000 psi, MS28889-1 "
    "no core, 3/4 in and 5000 psi; know which it is before a nut is turned.",
    f"FAA-H-8083-31B ch. 13, from memory, source not seen; the 3/4 in nut: {_NAVY_315}",
)
LEAK_CHECK = Caution(
    "leak_check",
    "Check the core with leak fluid, then refit the cap finger-tight: it is the second seal.",
    f"{_NAVY}; {_ARMY} p. 9-6",
)
HOUR = Caution(
    "leak_hour",
    "After new seals, no leak may show in one hour at normal extended pressure.",
    f"{_NAVY_315}, bench test",
)
FLUID_COMPRESSED = Caution(
    "fluid_when_compressed",
    "The fluid level is set with the strut fully compressed, up to the valve's port; only then is gas added. Struts "
    "serviced wrongly had a part in at least seven mishaps of one air force in six years.",
    f"USAF Flying Safety, August 2002; {_ARMY} p. 9-6; {_NAVY_315} ch. 13",
)
FLUID_AND_GAS = Caution(
    "fluid_and_gas",
    "Fluid level and gas both matter, and length tells neither from the other: read in the manual how the level is "
    "checked before anything is opened.",
    _NAVY,
)
FLUID_BY_HOSE = Caution(
    "fluid_by_hose",
    "To draw fluid in by a hose, work the strut on jacks until no bubbles come and end fully compressed; then take "
    "the hose off, refit the core, lower the aircraft, and charge with nitrogen to the proper extension.",
    f"FAA AC 43.13-1B CHG 1 para. 9-4; {_ARMY} p. 9-6",
)
FLUID_KIND = Caution(
    "fluid_kind",
    "Use only the fluid on the placard or in the manual, such as MIL-PRF-5606 or MIL-PRF-83282; phosphate ester "
    "destroys the seals.",
    "USAF Flying Safety, August 2002; compatibility from memory, source not seen",
)
FLUID_SETTLES = Caution(
    "fluid_takes_up_gas",
    "Fresh fluid takes up gas for some days, so the strut settles without a leak: read it again before judging.",
    "computed from a nitrogen solubility from memory, source not seen",
)
JACKS = Caution(
    "jacks", "Jack at the points and to the limits of the manual, with the aircraft's tail or nose held.", _TRADE
)
PISTON = Caution(
    "piston_surface",
    "Wipe the tube clean before it goes back in: dirt, corrosion and nicks cut the seal. Small nicks are filed and "
    "burnished smooth, a cracked part is replaced; look at torque links and shimmy damper as well.",
    "FAA AC 43.13-1B CHG 1 para. 9-4",
)
GLAND_NUT = Caution(
    "gland_nut",
    "A gland nut is tightened against a leak only after all pressure is out.",
    f"{_NAVY_315} ch. 13",
)
LINE = Caution(
    "pump_force", "Near the top of its range a hand pump pushes back hard: brace it, and do not lean over it.", _TRADE
)
DRIVE_AIR = Caution(
    "drive_air", "Set the drive pressure so that the pump stalls below the highest pressure allowed.", _TRADE
)
TYRE_CAGE = Caution(
    "tyre_cage", "Inflate a newly assembled wheel in a cage, with a clip-on chuck and a long hose.",
    "FAA AC 43.13-1B paras. 9-17, 9-18",
)  # fmt: skip
TYRE_NITROGEN = Caution(
    "tyre_nitrogen", "Fill tyres with dry nitrogen where there is any.", "FAA AC 20-97B, as care manuals repeat it"
)
TYRE_COLD = Caution(
    "tyre_cold", "Read and set tyres cold, two hours after rolling; never let a hot tyre down.", "FAA SAFO 09012"
)
TYRE_DEFLATE = Caution(
    "tyre_deflate_first",
    "Let out all gas before the wheel comes off or its bolts are loosened; the core itself can fly out.",
    f"a tyre maker's care manual, section 11; {_NAVY}",
)
TYRE_APPROACH = Caution(
    "hot_brakes", "Approach a hot or damaged wheel from front or rear, never from the side.", _TRADE
)
TYRE_PROBE = Caution("no_probing", "Never probe a cut while the tyre is inflated.", "FAA AC 43.13-1B para. 9-14")
