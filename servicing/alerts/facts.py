"""The figures of a change of finding as lines to read; taken from the change itself, which is never rewritten."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from calculations import units
from fleet.aircraft.models import Leg
from fleet.operators.models import Operator
from servicing.drift.models import FindingChange
from servicing.drift.qualified_words import qualifications


@dataclass(frozen=True, slots=True)
class Fact:
    """One line."""

    name: str
    words: str


@dataclass(frozen=True, slots=True)
class Facts:
    """Every line, and all of them as one sentence for the picture's alternative text."""

    lines: tuple[Fact, ...]

    @property
    def chart_words(self) -> str:
        """What the chart shows, for those who do not see it."""
        return "Chart of the readings. " + ". ".join(f"{fact.name}: {fact.words}" for fact in self.lines)


def facts_of(change: FindingChange, leg: Leg, operator: Operator) -> Facts:
    """Return what the assessment found, in the operator's units."""
    found = change.evidence
    lines = _strut_lines(found, leg, operator) if change.strut_id else _tyre_lines(found, leg, operator)
    more = found.get("evidence", {})
    qualified = qualifications(more, operator.unit_system)
    lines += [
        ("Why", _topped_up(more.get("repeated_top_ups"))),
        ("Since", f"about {_day(more['losing_since'])}" if more.get("losing_since") else None),
        ("Or a step", qualified.get("single_step")),
        ("Low limit", _forecast(found)),
        ("How sure", _sureness(found.get("false_alarm_rate"), "strut" if change.strut_id else "tyre")),
        ("Gas or fluid", _kind(found.get("probability_fluid"))),
        ("Pressure at rest", qualified.get("pressure_check")),
        ("Readings", _readings(found)),
    ]
    return Facts(tuple(Fact(name, words) for name, words in lines if words))


Lines = list[tuple[str, str | None]]


def _strut_lines(found: dict[str, Any], leg: Leg, operator: Operator) -> Lines:
    sheet = leg.sheet

    def length(value: float) -> str:
        shown = units.display(value, "length", operator.unit_system)
        return f"{shown.value:.{2 if shown.unit == 'in' else 0}f}"

    unit = units.display_unit("length", operator.unit_system).symbol
    level = _interval(found, "extension_in", "extension_low_in", "extension_high_in", length, unit)
    limits = (
        f"{length(sheet.low_limit_in)} to {length(sheet.high_limit_in)} {unit}, "
        f"target {length(sheet.target_extension_in)} {unit}"
    )
    rate = _interval(found, "rate_in_per_month", "rate_low", "rate_high", _signed(length), f"{unit} per month")
    return [
        ("Extension", f"{level}, at the sheet's temperature and load" if level else None),
        ("Limits", limits),
        ("Rate", rate if found.get("evidence", {}).get("losing_since") else None),
    ]


def _tyre_lines(found: dict[str, Any], leg: Leg, operator: Operator) -> Lines:
    def pressure(value: float) -> str:
        return f"{units.display(value, 'gauge_pressure', operator.unit_system).value:.0f}"

    unit = units.display_unit("gauge_pressure", operator.unit_system).symbol
    service = leg.sheet.tyre_service_pressure_psig
    now = found.get("pressure_psig")
    why = found.get("evidence", {})
    rate = _interval(found, "rate_percent_per_day", "rate_low", "rate_high", _signed("{:.2f}".format), "% per day")
    told = "fast: read again tomorrow instead of waiting" if why.get("fast") else rate
    return [
        ("Pressure", f"{pressure(now)} {unit}, cold, at the reference temperature" if now is not None else None),
        ("Service pressure", f"{pressure(service)} {unit}" if service is not None else None),
        ("Rate", told if why.get("losing_since") else None),
    ]


def _signed(write: Any) -> Any:
    return lambda value: ("-" if value < 0 else "+") + write(abs(value))


def _interval(found: dict[str, Any], middle: str, low: str, high: str, write: Any, unit: str) -> str | None:
    if found.get(middle) is None:
        return None
    words = f"{write(found[middle])} {unit}"
    if found.get(low) is not None and found.get(high) is not None:
        words += f" ({write(found[low])} to {write(found[high])}, 90 %)"
    return words


def _forecast(found: dict[str, Any]) -> str | None:
    if found.get("evidence", {}).get("service_now"):
        return "close or passed: service now, a date would not be honest"
    if found.get("breach_low") and found.get("breach_high"):
        return f"reached between {_day(found['breach_low'])} and {_day(found['breach_high'])} (80 %)"
    if found.get("breach_low"):
        return f"not before {_day(found['breach_low'])} (90 %)"
    return None


def _sureness(rate: float | None, part: str) -> str | None:
    if rate is None:
        return None
    years = f"{1 / rate:,.0f}" if rate > 1e-4 else "10,000"
    more = "" if rate > 1e-4 else "more than "
    return f"evidence this strong comes by chance about once in {more}{years} {part}-years"


def _kind(probability_fluid: float | None) -> str | None:
    if probability_fluid is None:
        return None
    return f"fluid {probability_fluid:.0%}, gas {1 - probability_fluid:.0%}, from what people saw"


def _readings(found: dict[str, Any]) -> str | None:
    more = found.get("evidence", {})
    if more.get("readings_used") is None:
        return None
    last = f", the last of {_day(str(found['last_reading_at'])[:10])}" if found.get("last_reading_at") else ""
    return f"{more['readings_used']} used, {more.get('readings_set_aside', 0)} set aside{last}"


def _topped_up(days: list[str] | None) -> str | None:
    if not days:
        return None
    return f"gas was added on {_day(days[0])} and again on {_day(days[1])}, and nobody has checked the fluid level"


def _day(iso: str) -> str:
    day = date.fromisoformat(iso)
    return f"{day.day} {day:%B %Y}"
