"""A chart in one or two sentences, for screen readers and for mail without pictures."""

from collections.abc import Iterable, Sequence

from fleet.aircraft.models import TypeSheet
from servicing.chart.history import ReadingPoint
from servicing.drift.models import StrutStanding, TyreStanding


def summarise(
    standing: StrutStanding | TyreStanding | None,
    sheet: TypeSheet | None,
    readings: Sequence[ReadingPoint],
    unit: str,
    decimals: int,
    remarks: Iterable[str] = (),
) -> str:
    """Return what the chart shows in words."""
    if not readings:
        return "No readings in the time shown."
    counted = [reading for reading in readings if not reading.set_aside]
    aside = len(readings) - len(counted)
    last = (counted or readings)[-1]
    words = [f"{len(readings)} readings, {aside} of them set aside." if aside else f"{len(readings)} readings."]
    words.append(f"The last, of {last.at:%d %B %Y}, is {last.corrected:.{decimals}f} {unit} corrected.")
    if standing:
        words.append(f"Finding: {standing.finding.replace('_', ' ')}, level {standing.level}.")
        if standing.breach_low and standing.breach_high:
            words.append(f"Low limit expected between {standing.breach_low} and {standing.breach_high}.")
    return " ".join([*words, *remarks])
