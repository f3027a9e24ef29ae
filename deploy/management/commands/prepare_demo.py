"""Load the invented club through the running service, let its workers judge it, and tell what they found."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from deploy.celery import app
from deploy.demo.club import CLUB_NAME, COORDINATOR
from deploy.demo.files import club_files
from deploy.demo.history import club_history
from deploy.demo.loading import DemoFailedError, send_files, wait_for_workers
from deploy.demo.summary import summary_lines
from fleet.operators.actions import create_operator
from fleet.operators.models import Operator
from fleet.people.actor import installation_actor
from fleet.people.models import Person, Role, Scope
from fleet.people.token_actions import issue_token
from servicing.exchange.models import Import, ImportState

_TOKEN_LASTS = timedelta(days=7)


class Command(BaseCommand):
    """Prepares the demo club; run again, it keeps what is there and tells it anew."""

    help = "Load the invented demo club through the running service and print what it finds."

    def handle(self, *args: Any, **options: Any) -> None:
        """Run the main job on the demo club."""
        now = timezone.now()
        operator = Operator.objects.filter(name=CLUB_NAME).first() or self._found_club(now)
        token = self._token(operator, now)
        try:
            if self._unread(operator):
                self._tell("Writing eighteen months of the club's readings")
                files = club_files(club_history(), ending=_midnight(operator.created_at))
                self._tell("Sending the club's files in, as any club would")
                send_files(files, address=settings.PUBLIC_URL, token=token, say=self._tell)
                self._tell("Sweeping: a Celery worker judges every strut and tyre with news")
                app.send_task("servicing.nightly_sweep")
            wait_for_workers(self._tell)
        except DemoFailedError as error:
            raise CommandError(str(error)) from error
        for line in ("", *summary_lines(operator, now=timezone.now()), ""):
            self._tell(line)
        self._tell(f"A token to try (good for {_TOKEN_LASTS.days} days): {token}")

    def _found_club(self, now: datetime) -> Operator:
        name, email = COORDINATOR
        operator, _ = create_operator(name=CLUB_NAME, coordinator_name=name, coordinator_email=email, now=now)
        return operator

    def _token(self, operator: Operator, now: datetime) -> str:
        coordinator = Person.objects.of(operator).filter(role=Role.COORDINATOR, active=True).earliest("id")
        issued = issue_token(
            actor=installation_actor(operator.pk),
            now=now,
            person_id=coordinator.pk,
            label="demo",
            scopes=Scope.values,
            expires_at=now + _TOKEN_LASTS,
        )
        return issued.secret

    def _unread(self, operator: Operator) -> bool:
        # The last file to be sent; files that came in before a crash are known and change nothing.
        done = Import.objects.of(operator).filter(kind="tyre-readings", state=ImportState.DONE)
        return not done.exists()

    def _tell(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()


def _midnight(now: datetime) -> datetime:
    return datetime.combine(now.date(), time(), tzinfo=now.tzinfo)
