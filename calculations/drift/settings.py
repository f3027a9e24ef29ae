"""What an operator chooses, in a coordinator's terms, and what the service has learned of the fleet."""

from dataclasses import dataclass
from enum import StrEnum

from calculations.errors import CalculationError, Fault


class Part(StrEnum):
    """Kind of part; each has its own table of thresholds."""

    STRUT = "strut"
    TYRE = "tyre"


@dataclass(frozen=True)
class FleetHabits:
    """What a fleet's own history says about its noise; see :mod:`calculations.drift.fleet_noise`.

    Parameters
    ----------
    noise_factor_exercised, noise_factor_resting : float
        Variance of this fleet's readings relative to the model's.
    noise_prior_count : float
        How many readings of its own a strut needs before its own noise outweighs the fleet's.
    seep_mean_per_month, seep_sd_per_month : float
        Normal slow loss of healthy struts [in/month], mean negative.
    temperature_trust, load_trust : float
        Share of a recorded temperature's departure from the season, and of a recorded load's departure from
        the usual, that is real; the rest is the thermometer's and the fuel gauge's doing.
    season_mean_f, season_cos_f, season_sin_f : float
        Usual temperature offset through the year: mean + cos and sin of 2 pi day / 365.25 [degF].
    usual_load_lbf : float
        Mean load offset [lbf].
    threshold_shift : float
        Added to the evidence that an alert needs.
    """

    noise_factor_exercised: float = 1.0
    noise_factor_resting: float = 1.0
    noise_prior_count: float = 12.0
    seep_mean_per_month: float = -0.004
    seep_sd_per_month: float = 0.003
    temperature_trust: float = 1.0
    load_trust: float = 1.0
    season_mean_f: float = 0.0
    season_cos_f: float = 0.0
    season_sin_f: float = 0.0
    usual_load_lbf: float = 0.0
    threshold_shift: float = 0.0


@dataclass(frozen=True)
class Settings:
    """The operator's choices.

    Parameters
    ----------
    false_alarms_per_year : float
        Cautions for a loss that is not there which the operator accepts, per part and year.
    notice_days : float
        A caution becomes a warning when the low limit may be reached within so many days.
    habits : FleetHabits
        As learned of the operator's parts of this kind.
    part : Part
    """

    false_alarms_per_year: float = 0.10
    notice_days: float = 30.0
    habits: FleetHabits = FleetHabits()
    part: Part = Part.STRUT

    def __post_init__(self) -> None:
        faults = []
        if not 0.005 <= self.false_alarms_per_year <= 0.5:
            faults.append(
                Fault(
                    "false_alarms_per_year",
                    "out_of_range",
                    f"{self.false_alarms_per_year} per strut-year; thresholds are known for 0.005 to 0.5",
                )
            )
        if not 0.0 <= self.notice_days <= 365.0:
            faults.append(Fault("notice_days", "out_of_range", f"{self.notice_days} days; give 0 to 365"))
        if faults:
            raise CalculationError(faults)
