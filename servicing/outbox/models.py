"""Mail to be sent: a row first, sent after, with its own Message-ID."""

from django.db import models
from django.db.models import Q

from fleet.tenancy import Owned


class OutgoingMail(Owned):
    """One message to one person about one alert event; claimed by compare-and-set, tried until sent."""

    event = models.ForeignKey("servicing.AlertEvent", on_delete=models.PROTECT, related_name="+")
    person = models.ForeignKey("fleet.Person", on_delete=models.PROTECT, related_name="+")
    address = models.EmailField()
    subject = models.CharField(max_length=200)
    text = models.TextField()
    html = models.TextField()
    chart_png = models.BinaryField()
    message_id = models.CharField(max_length=200, unique=True)
    created_at = models.DateTimeField()
    not_before = models.DateTimeField()
    claimed_until = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    sent_at = models.DateTimeField(null=True, blank=True)
    given_up_at = models.DateTimeField(null=True, blank=True)
    last_error = models.CharField(max_length=300, blank=True)

    class Meta:
        db_table = "servicing_outgoing_mail"
        indexes = [
            models.Index(
                fields=["not_before"],
                name="outgoing_mail_waiting",
                condition=Q(sent_at__isnull=True, given_up_at__isnull=True),
            )
        ]
        constraints = [models.UniqueConstraint(fields=["event", "person"], name="servicing_outgoing_mail_once")]
