"""Operators, people, tokens, aircraft and gear for tests: deterministic, nothing random."""

import itertools
import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

from fleet.aircraft.models import Aircraft, Leg, Position, SheetPosition, TypeSheet
from fleet.gear.models import Strut, StrutInstallation, Tyre, TyreInstallation
from fleet.operators.models import Operator
from fleet.people.actor import Actor
from fleet.people.models import Person, Role, Scope, Token
from fleet.people.token_actions import digest_of
from fleet.web.authentication import actor_of

NOW = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
LONG_AGO = datetime(2025, 1, 6, 8, 0, tzinfo=UTC)
_numbers = itertools.count(1)


def next_number() -> int:
    """Return the next of a sequence that never repeats within a run."""
    return next(_numbers)


def next_id() -> uuid.UUID:
    """Return an id that is readable in a failure."""
    return uuid.UUID(int=0xC0FFEE << 96 | next_number(), version=4)


def an_operator(**values: Any) -> Operator:
    """Return a club of its own."""
    return Operator.objects.create(
        id=next_id(), **{"name": f"Example Flying Club {next_number()}", "created_at": LONG_AGO, **values}
    )


def a_person(operator: Operator, role: str = Role.COORDINATOR, **values: Any) -> Person:
    """Return someone of the club."""
    number = next_number()
    return Person.objects.create(
        id=next_id(),
        operator=operator,
        role=role,
        **{"name": f"Person {number}", "email": f"person{number}@club.example", **values},
    )


def a_token(person: Person, scopes: list[str] | None = None, **values: Any) -> tuple[Token, str]:
    """Return a token and its secret."""
    secret = f"uc_{next_number():040d}"
    token = Token.objects.create(
        id=next_id(),
        operator=person.operator,
        person=person,
        digest=digest_of(secret),
        scopes=Scope.values if scopes is None else scopes,
        **{
            "label": "test",
            "hint": secret[-4:],
            "created_at": LONG_AGO,
            # Far off, because requests in tests run by the real clock unless it is moved.
            "expires_at": datetime(2099, 1, 1, tzinfo=UTC),
            **values,
        },
    )
    return token, secret


def an_actor(operator: Operator, role: str = Role.COORDINATOR) -> Actor:
    """Return an actor with a person and a token behind it."""
    token, _ = a_token(a_person(operator, role))
    return actor_of(token)


def a_type_sheet(operator: Operator, position: str = SheetPosition.MAIN, **values: Any) -> TypeSheet:
    """Return a sheet with the figures that the trade calls typical: 4 1/2 in on mains, 3 1/4 in on the nose."""
    target = 4.5 if position == SheetPosition.MAIN else 3.25
    return TypeSheet.objects.create(
        id=next_id(),
        operator=operator,
        position=position,
        **{
            "name": f"Example trainer {next_number()}",
            "manual_reference": "Example maintenance manual, chapter 32",
            "manual_revision": "B",
            "target_extension_in": target,
            "low_limit_in": target - 0.5,
            "high_limit_in": target + 0.5,
            "full_extension_in": target + 4.0,
            "reference_temperature_f": 70.0,
            "reference_load_lbf": 700.0,
            "tube_diameter_in": 2.25,
            "gas_column_in": 2.0,
            "fluid_volume_in3": 18.0,
            "fluid_expansion_per_k": 8.4e-4,
            "tyre_size": "6.00-6",
            "tyre_service_pressure_psig": 30.0,
            "tyre_wear_limit_in": 1 / 32,
            **values,
        },
    )


def an_aircraft(operator: Operator, **values: Any) -> Aircraft:
    """Return an aircraft without legs."""
    return Aircraft.objects.create(
        id=next_id(),
        operator=operator,
        **{
            "registration": f"XX-{next_number():04d}",
            "type_name": "Example trainer",
            "created_at": LONG_AGO,
            **values,
        },
    )


def a_leg(
    operator: Operator,
    position: str = Position.LEFT_MAIN,
    *,
    aircraft: Aircraft | None = None,
    sheet: TypeSheet | None = None,
) -> Leg:
    """Return a leg, with aircraft and sheet unless given."""
    sheet_position = SheetPosition.MAIN if "main" in position else position
    return Leg.objects.create(
        id=next_id(),
        operator=operator,
        aircraft=aircraft or an_aircraft(operator),
        position=position,
        sheet=sheet or a_type_sheet(operator, sheet_position),
    )


def a_strut(operator: Operator, leg: Leg | None = None, *, installed_at: datetime = LONG_AGO, **values: Any) -> Strut:
    """Return a strut, on ``leg`` when given."""
    strut = Strut.objects.create(
        id=next_id(), operator=operator, **{"serial_number": f"S{next_number():04d}", **values}
    )
    if leg:
        StrutInstallation.objects.create(
            id=next_id(), operator=operator, strut=strut, leg=leg, installed_at=installed_at
        )
    return strut


def a_tyre(operator: Operator, leg: Leg | None = None, *, installed_at: datetime = LONG_AGO, **values: Any) -> Tyre:
    """Return a tyre, on ``leg`` when given."""
    tyre = Tyre.objects.create(
        id=next_id(), operator=operator, **{"serial_number": f"T{next_number():04d}", "size": "6.00-6", **values}
    )
    if leg:
        TyreInstallation.objects.create(
            id=next_id(), operator=operator, tyre=tyre, leg=leg, installed_at=installed_at
        )
    return tyre


def later(**distance: float) -> datetime:
    """Return a time after `NOW`."""
    return NOW + timedelta(**distance)
