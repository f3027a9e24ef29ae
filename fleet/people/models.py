"""People of an operator, what they may do, and the tokens that speak for them."""

from datetime import datetime

from django.db import models
from django.db.models.functions import Lower

from fleet.tenancy import Owned


class Role(models.TextChoices):
    """What a person may do; each role may do all that the ones before it may."""

    READER = "reader", "reads"
    MEMBER = "member", "takes readings and logs usage"
    MECHANIC = "mechanic", "does and records work"
    COORDINATOR = "coordinator", "keeps the fleet, people and settings"


ROLE_ORDER = [Role.READER, Role.MEMBER, Role.MECHANIC, Role.COORDINATOR]


class Scope(models.TextChoices):
    """What a token may be used for, whatever its person's role would allow besides."""

    READ = "read", "read everything of the operator"
    REPORT = "report", "send readings and usage"
    WORK = "work", "record work, records and reinspections"
    MANAGE = "manage", "change fleet, people and settings"


class Person(Owned):
    """Someone of an operator."""

    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    role = models.CharField(max_length=12, choices=Role)
    certificate_kind = models.CharField(max_length=40, blank=True)
    certificate_number = models.CharField(max_length=40, blank=True)
    wants_mail = models.BooleanField(default=True)
    active = models.BooleanField(default=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        db_table = "fleet_person"
        constraints = [
            models.UniqueConstraint(
                Lower("email"), "operator", name="fleet_person_email", condition=~models.Q(email="")
            )
        ]

    def __str__(self) -> str:
        return self.name

    def has_role(self, role: str) -> bool:
        """Say whether the person's role is at least ``role``."""
        return ROLE_ORDER.index(Role(self.role)) >= ROLE_ORDER.index(Role(role))


class Token(Owned):
    """A bearer token, kept only as a digest; the secret is shown once when it is issued."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="tokens")
    label = models.CharField(max_length=80)
    digest = models.CharField(max_length=64, unique=True)
    hint = models.CharField(max_length=8)
    scopes = models.JSONField(default=list)
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        db_table = "fleet_token"

    @property
    def is_void(self) -> bool:
        """Say whether it was revoked or its person left; the person comes with it (`known_token`)."""
        return self.revoked_at is not None or not self.person.active

    def has_expired(self, now: datetime) -> bool:
        """Say whether its time is over."""
        return self.expires_at <= now
