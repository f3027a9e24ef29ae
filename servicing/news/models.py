"""What has arrived for each part since it was last assessed."""

from django.db import models
from django.db.models import F, Q

from fleet.tenancy import Owned


class PartNews(Owned):
    """Counts arrivals for one strut or tyre, and how many of them an assessment has seen.

    An assessment notes ``arrived`` before it reads and writes it into ``assessed`` after; whatever
    comes in between leaves the two apart, so the part is looked at again and nothing is missed.
    """

    strut = models.OneToOneField("fleet.Strut", on_delete=models.PROTECT, null=True, related_name="news")
    tyre = models.OneToOneField("fleet.Tyre", on_delete=models.PROTECT, null=True, related_name="news")
    arrived = models.PositiveBigIntegerField(default=0)
    assessed = models.PositiveBigIntegerField(default=0)

    class Meta:
        db_table = "servicing_part_news"
        indexes = [models.Index(fields=["id"], name="part_news_waiting", condition=Q(arrived__gt=F("assessed")))]
        constraints = [
            models.CheckConstraint(
                name="servicing_part_news_one_part",
                condition=Q(strut__isnull=False, tyre__isnull=True) | Q(strut__isnull=True, tyre__isnull=False),
            )
        ]
