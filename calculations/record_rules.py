"""The published rules that a record entry is checked against, as data.

Summaries in our words. Marks: [R] rule text read, [R2] read in a source that quotes it, [M] from
memory, source not seen, [I] our inference. Nothing here decides whether an aircraft is airworthy.

References
----------
.. [1] 14 CFR part 43, *Maintenance, preventive maintenance, rebuilding, and alteration*.
.. [2] 14 CFR part 91, *General operating and flight rules*, subpart E.
.. [3] Regulation (EU) 1321/2014 annex Vb (Part-ML), appendices II and III; annex I (Part-M).
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final


class Jurisdiction(StrEnum):
    """Whose rules the aircraft is kept under."""

    US = "us"
    EU = "eu"
    UK = "uk"
    OTHER = "other"


class Severity(StrEnum):
    """How much a finding weighs; none of them is a decision."""

    REFUSE = "refuse"  # the entry or claim cannot stand as it is
    WARN = "warn"  # customary element missing, or a person must look
    ADVISE = "advise"  # worth knowing


class Task(StrEnum):
    """Work on struts, wheels and tyres, as the rules tell it apart."""

    TYRE = "tyre"
    SHOCK_CORD = "shock_cord"
    STRUT_GAS_OR_FLUID = "strut_gas_or_fluid"
    WHEEL_BEARING = "wheel_bearing"
    SAFETY_WIRE = "safety_wire"
    LUBRICATION = "lubrication"
    HYDRAULIC_RESERVOIR = "hydraulic_reservoir"
    WHEEL_OR_SKI = "wheel_or_ski"
    STRUT_SEALS = "strut_seals"
    STRUT_GLAND_NUT = "strut_gland_nut"
    STRUT_DISASSEMBLY = "strut_disassembly"
    STRUT_REMOVAL = "strut_removal"
    STRUT_STRUCTURE = "strut_structure"
    HARD_LANDING_CHECK = "hard_landing_check"


class CertificateKind(StrEnum):
    """Kind of certificate of the person who approves for return to service."""

    STUDENT = "student"
    SPORT = "sport"
    RECREATIONAL = "recreational"
    PRIVATE = "private"
    COMMERCIAL = "commercial"
    AIRLINE_TRANSPORT = "airline_transport"
    MECHANIC = "mechanic"
    INSPECTION_AUTHORIZATION = "inspection_authorization"
    REPAIRMAN = "repairman"
    REPAIR_STATION = "repair_station"


class Operation(StrEnum):
    """What the aircraft is used for."""

    PRIVATE = "private"  # part 91, owned or operated by the pilot
    RENTAL = "rental"  # flight school or club: who "operates" is a legal question
    AIR_CARRIER = "air_carrier"  # part 121, 129 or 135


@dataclass(frozen=True, slots=True)
class Rule:
    """Where a rule stands and what it says, in our words.

    Parameters
    ----------
    reference : str
        Citation.
    summary : str
        In our words.
    provenance : str
        How it was seen: R, R2, M or I as above.
    """

    reference: str
    summary: str
    provenance: str


PREVENTIVE: Final = {
    Task.TYRE: Rule("14 CFR 43 App. A(c)(1)", "removing, installing, repairing landing-gear tyres", "R"),
    Task.SHOCK_CORD: Rule("14 CFR 43 App. A(c)(2)", "replacing elastic shock-absorber cords", "R"),
    Task.STRUT_GAS_OR_FLUID: Rule(
        "14 CFR 43 App. A(c)(3)", "servicing shock struts by adding oil, air, or both", "R"
    ),
    Task.WHEEL_BEARING: Rule("14 CFR 43 App. A(c)(4)", "cleaning and greasing wheel bearings", "R"),
    Task.SAFETY_WIRE: Rule("14 CFR 43 App. A(c)(5)", "replacing safety wire and cotter keys", "R"),
    Task.LUBRICATION: Rule("14 CFR 43 App. A(c)(6)", "lubrication without disassembly", "R"),
    Task.HYDRAULIC_RESERVOIR: Rule("14 CFR 43 App. A(c)(8)", "replenishing the hydraulic reservoir", "R"),
    Task.WHEEL_OR_SKI: Rule(
        "14 CFR 43 App. A(c)(18)", "replacing wheels and skis where no weight and balance is involved", "R"
    ),
}

NOT_PREVENTIVE: Final = {
    Task.STRUT_SEALS: Rule("14 CFR 43 App. A(c)", "replacing strut seals is not on the list", "I"),
    Task.STRUT_GLAND_NUT: Rule("14 CFR 43 App. A(c)", "gland nut work is not on the list", "I"),
    Task.STRUT_DISASSEMBLY: Rule("14 CFR 43 App. A(c)", "taking a strut apart is not on the list", "I"),
    Task.STRUT_REMOVAL: Rule("14 CFR 43 App. A(c)", "removing a strut is not on the list", "I"),
    Task.STRUT_STRUCTURE: Rule("14 CFR 43 App. A(c)", "repairing a strut or brace is not on the list", "I"),
    Task.HARD_LANDING_CHECK: Rule("14 CFR 43 App. A(c)", "an inspection is not preventive maintenance", "I"),
}

# The pilot kinds are those of 43.7(f) [R2]; sport and student [M]
PILOTS_WHO_MAY_APPROVE: Final = frozenset(
    {CertificateKind.PRIVATE, CertificateKind.COMMERCIAL, CertificateKind.AIRLINE_TRANSPORT}
)
PILOTS_WHO_MAY_NOT: Final = frozenset({CertificateKind.STUDENT, CertificateKind.SPORT, CertificateKind.RECREATIONAL})

PILOT_MAY_DO: Final = Rule(
    "14 CFR 43.3(g)",
    "a certificated pilot may do preventive maintenance on an aircraft owned or operated by him",
    "R2",
)
NOT_FOR_AIR_CARRIERS: Final = Rule(
    "14 CFR 43.3(g)", "preventive maintenance by a pilot is not for aircraft used under part 121, 129 or 135", "R2"
)
PILOT_MAY_APPROVE: Final = Rule(
    "14 CFR 43.7(f)", "approval after preventive maintenance takes at least a private pilot certificate", "R2"
)
SPORT_PILOTS: Final = Rule(
    "14 CFR 43.7(f), (g)", "student and sport pilots do not approve a type-certificated aircraft", "M"
)
DESCRIPTION: Final = Rule("14 CFR 43.9(a)(1)", "description of the work, or reference to acceptable data", "R")
COMPLETION_DATE: Final = Rule("14 CFR 43.9(a)(2)", "date of completion", "R")
PERFORMER: Final = Rule("14 CFR 43.9(a)(3)", "name of the performer, if other than the approver", "R")
APPROVAL: Final = Rule(
    "14 CFR 43.9(a)(4)", "signature, certificate number and kind of certificate of the approver", "R"
)
INSPECTIONS: Final = Rule("14 CFR 43.9(c), 43.11", "inspections are entered under 43.11, not 43.9", "R2")
TOTAL_TIME: Final = Rule("14 CFR 43.11; custom", "total time: required for inspections, customary otherwise", "R2")
RETURN_TO_SERVICE: Final = Rule("14 CFR 43.5, 91.407(a)", "no flight before approval and entry are made", "R")
TRUTHFUL: Final = Rule("14 CFR 43.12", "no false or misleading entry", "M")
CURRENT_DATA: Final = Rule("14 CFR 43.13", "current manual or acceptable methods, proper tools", "M")
ANNUAL: Final = Rule("14 CFR 91.409(a)", "inspection within the preceding twelve calendar months", "M")
HUNDRED_HOURS: Final = Rule(
    "14 CFR 91.409(b)", "100 hours when carrying for hire or instructing in one's own aircraft", "R"
)
HUNDRED_HOURS_EXCESS: Final = Rule(
    "14 CFR 91.409(b)", "up to 10 h over to reach the place of inspection; the excess counts in the next 100 h", "M"
)
KEEP_WORK_RECORDS: Final = Rule(
    "14 CFR 91.417(b)(1)", "work records until the work is repeated or superseded, or for one year", "M"
)
KEEP_STATUS_RECORDS: Final = Rule(
    "14 CFR 91.417(b)(2)", "status records are kept and go with the aircraft when it is sold", "R"
)
HUNDRED_HOUR_GEAR_ITEMS: Final = Rule(
    "14 CFR 43 App. D(e)",
    "condition and attachment; shock absorbers: fluid level; linkages; retract and lock; hydraulic lines; "
    "electrical; wheels; tyres: wear and cuts; brakes; floats and skis",
    "R",
)

CHECK_LOCAL_RULES: Final = Rule("local rules", "check local rules: this service does not know them", "I")

EUROPEAN_EXCLUSIONS: Final = {
    "calibrated_tools": Rule(
        "Part-ML App. II(b)(4)",
        "not a pilot-owner task when it needs special or calibrated tools (not torque wrench or crimping tool): "
        "a calibrated strut gauge or nitrogen regulator may count",
        "R",
    ),
    "test_equipment": Rule("Part-ML App. II(b)(5)", "not a pilot-owner task when it needs test equipment", "R"),
    "hard_landing": Rule(
        "Part-ML App. II(b)(6)",
        "a heavy-landing check is an unscheduled special inspection: not a pilot-owner task",
        "R",
    ),
    "complex": Rule(
        "Part-ML App. III(a)(16)", "repairing or replacing parts of a strut by joining is a complex task", "R"
    ),
    "major_component": Rule("Part-ML App. II(b)(2)", "removing a major component is not a pilot-owner task", "R"),
}
EUROPEAN_SHOCK_STRUTS: Final = Rule(
    "AMC1 to Part-ML App. II", "replenishing shock struts with oil or air is listed as a pilot-owner task", "M"
)
EUROPEAN_RELEASE_DAYS: Final = 30  # [d], M.A.305(a) [R]: release entered as soon as practicable, at most
EUROPEAN_RETENTION_MONTHS: Final = 36  # [months], AMC M.A.305(e)(1) [R2]; ML.A.305 [M]
