"""Rows as answers, in the caller's units."""

from typing import Any

from fleet.gear.kinds import STRUT, PartKind
from fleet.web.quantities import quantity
from servicing.alerts.wording import cautions_of, checks_of, wording_of
from servicing.drift.qualified_words import qualifications
from servicing.drift.queries import TrendPoint


def standing_answer(kind: PartKind, row: Any, installation: Any, unit_system: str) -> dict[str, Any]:
    """Return how a part stands, with the limits of the leg that it is on."""
    of_tyre = kind is not STRUT
    evidence = row.evidence
    part = getattr(row, kind.noun)
    own = _tyre_figures(row, installation, unit_system) if of_tyre else _strut_figures(row, installation, unit_system)
    return {
        kind.noun: part.id,
        "serial_number": part.serial_number,
        "place": place_answer(installation),
        "finding": row.finding,
        "level": row.level,
        "meaning": wording_of(row.finding).meaning,
        "check_first": evidence.get("check_first", "more_readings"),
        "checks": checks_of(row.finding, evidence.get("check_first"), tyre=of_tyre),
        "cautions": cautions_of(row.finding, evidence.get("check_first"), tyre=of_tyre),
        "losing_since": evidence.get("losing_since"),
        "false_alarms_per_year": row.false_alarm_rate,
        "forecast": {
            "service_now": evidence.get("service_now", False),
            "expected": row.breach_on,
            "earliest": row.breach_low,
            "latest": row.breach_high,
        },
        "readings_used": evidence.get("readings_used"),
        "readings_set_aside": evidence.get("readings_set_aside"),
        "last_reading_at": row.last_reading_at,
        "assessed_at": row.assessed_at,
        **own,
    }


def place_answer(installation: Any) -> dict[str, Any] | None:
    """Return where a part is, or None."""
    if installation is None:
        return None
    return {
        "aircraft": installation.leg.aircraft_id,
        "registration": installation.leg.aircraft.registration,
        "leg": installation.leg_id,
        "position": installation.leg.position,
        "installed_at": installation.installed_at,
    }


def _strut_figures(row: Any, installation: Any, unit_system: str) -> dict[str, Any]:
    sheet = installation.leg.sheet if installation else None
    lengths = {
        "extension": row.extension_in,
        "extension_low": row.extension_low_in,
        "extension_high": row.extension_high_in,
        "low_limit": sheet and sheet.low_limit_in,
        "target": sheet and sheet.target_extension_in,
        "high_limit": sheet and sheet.high_limit_in,
    }
    rates = {"rate": row.rate_in_per_month, "rate_low": row.rate_low, "rate_high": row.rate_high}
    return {
        **{name: quantity(value, "length", unit_system) for name, value in lengths.items()},
        **{name: quantity(value, "extension_rate", unit_system) for name, value in rates.items()},
        "probability_fluid": row.probability_fluid,
        **_qualifications(row.evidence, unit_system),
    }


def _qualifications(evidence: dict[str, Any], unit_system: str) -> dict[str, Any]:
    said = qualifications(evidence, unit_system)
    step, check = evidence.get("single_step"), evidence.get("pressure_check")
    return {
        "single_step": step
        and {
            **{name: step[name] for name in ("on", "earliest", "latest")},
            "down": quantity(step["down_in"], "length", unit_system),
            "text": said["single_step"],
        },
        "pressure_check": check
        and {
            "reading": check["reading"],
            "verdict": check["verdict"],
            "pressure": quantity(check["pressure_psig"], "gauge_pressure", unit_system),
            "carried": quantity(check["carried_lbf"], "force", unit_system),
            "load": quantity(check["load_lbf"], "force", unit_system),
            "excess_percent": round(100 * check["excess"], 1),
            "excess_percent_uncertainty": round(100 * check["excess_sd"], 1),
            "text": said["pressure_check"],
        },
    }


def _tyre_figures(row: Any, installation: Any, unit_system: str) -> dict[str, Any]:
    service = installation.leg.sheet.tyre_service_pressure_psig if installation else None
    check, tread = row.evidence.get("pressure_check") or {}, row.evidence.get("tread") or {}
    return {
        "pressure": quantity(row.pressure_psig, "gauge_pressure", unit_system),
        "service_pressure": quantity(service, "gauge_pressure", unit_system),
        "band": row.band,
        "band_as_read": check.get("band_as_read", ""),
        "band_action": check.get("action", ""),
        "rate_percent_per_day": row.rate_percent_per_day,
        "rate_low": row.rate_low,
        "rate_high": row.rate_high,
        "fast": row.evidence.get("fast", False),
        "read_again_on": row.evidence.get("read_again_on"),
        "landings_to_wear_limit": row.landings_to_wear_limit,
        "landings_low": tread.get("landings_low"),
        "landings_high": tread.get("landings_high"),
    }


def reading_answer(kind: PartKind, row: Any, unit_system: str) -> dict[str, Any]:
    """Return one reading of a history."""
    common = {
        "id": row.id,
        "taken_at": row.taken_at,
        "leg": row.leg_id,
        "temperature": quantity(row.temperature_f, "temperature", unit_system),
        "note": row.note,
    }
    if kind is STRUT:
        return {
            **common,
            "extension": quantity(row.extension_in, "length", unit_system),
            "corrected": quantity(row.corrected_in, "length", unit_system),
            "uncertainty": quantity(row.uncertainty_in, "length", unit_system),
            "exercised": row.exercised,
        }
    return {
        **common,
        "pressure": quantity(row.pressure_psig, "gauge_pressure", unit_system),
        "corrected": quantity(row.corrected_psig, "gauge_pressure", unit_system),
        "tread": quantity(row.tread_in, "length", unit_system),
    }


def point_answer(kind: PartKind, point: TrendPoint, unit_system: str) -> dict[str, Any]:
    """Return one point of a trend."""
    common = {"reading": point.reading_id, "at": point.at, "disposition": point.disposition}
    if kind is STRUT:
        lengths = {
            "raw": point.raw,
            "corrected": point.corrected,
            "fitted": point.fitted,
            "fitted_sd": point.fitted_sd,
        }
        return {**common, **{name: quantity(value, "length", unit_system) for name, value in lengths.items()}}
    return {
        **common,
        "raw_percent": point.raw,
        "corrected_percent": point.corrected,
        "fitted_percent": point.fitted,
        "fitted_sd_percent": point.fitted_sd,
    }
