"""The first step of a new installation: an operator, its coordinator, and a token."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.validators import validate_email
from django.forms import ValidationError
from django.utils import timezone

from fleet.operators.actions import create_operator
from fleet.operators.models import UnitSystem
from fleet.refusals import Refused
from fleet.web.health import store_is_prepared


class Command(BaseCommand):
    """``manage.py create_operator NAME --coordinator NAME EMAIL``."""

    help = "Sets up an operator with its first coordinator and prints a token, once."

    def add_arguments(self, parser: CommandParser) -> None:
        """See Django."""
        parser.add_argument("name", help="the club's or school's name")
        parser.add_argument("--coordinator", nargs=2, metavar=("NAME", "EMAIL"), required=True)
        parser.add_argument("--units", choices=UnitSystem.values, default=UnitSystem.US.value)
        parser.add_argument("--time-zone", default="UTC", help="IANA name, such as Europe/Lisbon")

    def handle(self, *args: Any, **options: Any) -> None:
        """Create the rows and print the secret; it is kept nowhere."""
        if not store_is_prepared():
            raise CommandError("the database does not answer or is not prepared: run `manage.py migrate` first")
        coordinator_name, email = options["coordinator"]
        try:
            validate_email(email)
            operator, issued = create_operator(
                name=options["name"],
                coordinator_name=coordinator_name,
                coordinator_email=email,
                now=timezone.now(),
                settings={"unit_system": options["units"], "time_zone": options["time_zone"]},
            )
        except ValidationError as error:
            raise CommandError(f"{email!r} is no mail address") from error
        except Refused as error:
            raise CommandError(error.message) from error
        self.stdout.write(f"operator     {operator.name} ({operator.pk})")
        self.stdout.write(f"coordinator  {coordinator_name} <{email}>")
        self.stdout.write(f"token        {issued.secret}")
        self.stdout.write(f"It is shown this once, and valid until {issued.token.expires_at:%Y-%m-%d}.")
