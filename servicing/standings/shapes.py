"""How standings, histories and trends look in answers."""

from typing import Any, Final

from rest_framework import serializers

from calculations.drift import DISPOSITIONS, CheckFirst
from fleet.web.quantities import QuantityField
from servicing.alerts.shapes import FINDINGS
from servicing.drift.models import Level
from servicing.readings.strut_answers import PressureCheckAnswer

_FITTED: Final = (
    "Level as known after this reading; of a loss that stands, on its line as known now, since it began or the last "
    "work."
)
_RATE_LOW: Final = (
    "Lower end of the 90 % interval. Where no loss is found: the fastest that may have begun without being found yet."
)


class StandingFilters(serializers.Serializer[Any]):
    """Which standings to list."""

    aircraft = serializers.UUIDField(required=False)
    leg = serializers.UUIDField(required=False)
    finding = serializers.ChoiceField(FINDINGS, required=False)
    level = serializers.ChoiceField(Level.values, required=False)
    installed = serializers.BooleanField(
        required=False, default=True, help_text="Only parts that are on an aircraft in service."
    )


class HistoryFilters(serializers.Serializer[Any]):
    """How far back to look."""

    days = serializers.IntegerField(required=False, default=365, min_value=7, max_value=3660)


class StandingPlace(serializers.Serializer[Any]):
    """Where a part is installed."""

    aircraft = serializers.UUIDField()
    registration = serializers.CharField()
    leg = serializers.UUIDField()
    position = serializers.CharField()
    installed_at = serializers.DateTimeField()


class StandingForecast(serializers.Serializer[Any]):
    """When the low limit is expected, with the 80 % interval; empty where no date would be honest."""

    service_now = serializers.BooleanField()
    expected = serializers.DateField(allow_null=True)
    earliest = serializers.DateField(allow_null=True)
    latest = serializers.DateField(allow_null=True)


class StandingAnswer(serializers.Serializer[Any]):
    """What the standings of struts and tyres share."""

    serial_number = serializers.CharField(allow_blank=True)
    place = StandingPlace(allow_null=True)
    finding = serializers.ChoiceField(FINDINGS)
    level = serializers.ChoiceField(Level.choices)
    meaning = serializers.CharField()
    check_first = serializers.ChoiceField([look.value for look in CheckFirst])
    checks = serializers.ListField(child=serializers.CharField())
    cautions = serializers.ListField(child=serializers.CharField())
    losing_since = serializers.DateField(allow_null=True)
    false_alarms_per_year = serializers.FloatField(
        allow_null=True, help_text="How often evidence this strong comes by chance, per part and year."
    )
    forecast = StandingForecast()
    readings_used = serializers.IntegerField(allow_null=True)
    readings_set_aside = serializers.IntegerField(allow_null=True)
    last_reading_at = serializers.DateTimeField(
        allow_null=True, help_text="Of a tyre the last one read cold; the first, if it was only ever read hot."
    )
    assessed_at = serializers.DateTimeField(allow_null=True)


class SingleStepAnswer(serializers.Serializer[Any]):
    """A fall at once that fits the readings better than a steady loss; the finding stays until work is entered."""

    on = serializers.DateField()
    earliest = serializers.DateField(help_text="Of the 90 % interval.")
    latest = serializers.DateField(help_text="Of the 90 % interval.")
    down = QuantityField("length")
    text = serializers.CharField()


class StandingPressureAnswer(PressureCheckAnswer):
    """The newest pressure at rest since the last work, as long as few readings without one came after it."""

    reading = serializers.UUIDField()
    pressure = QuantityField("gauge_pressure")


class StrutStandingAnswer(StandingAnswer):
    """How a strut stands at its sheet's temperature and load."""

    strut = serializers.UUIDField()
    extension = QuantityField("length", allow_null=True, help_text="At the sheet's conditions, at the last reading.")
    extension_low = QuantityField("length", allow_null=True, help_text="Lower end of the 90 % interval.")
    extension_high = QuantityField("length", allow_null=True, help_text="Upper end of the 90 % interval.")
    low_limit = QuantityField("length", allow_null=True)
    target = QuantityField("length", allow_null=True)
    high_limit = QuantityField("length", allow_null=True)
    rate = QuantityField("extension_rate", allow_null=True, help_text="Negative when the strut loses length.")
    rate_low = QuantityField("extension_rate", allow_null=True, help_text=_RATE_LOW)
    rate_high = QuantityField("extension_rate", allow_null=True, help_text="Upper end of the 90 % interval.")
    probability_fluid = serializers.FloatField(allow_null=True, help_text="That fluid is lost rather than gas.")
    single_step = SingleStepAnswer(allow_null=True)
    pressure_check = StandingPressureAnswer(allow_null=True)


class TyreStandingAnswer(StandingAnswer):
    """How a tyre stands at the reference temperature."""

    tyre = serializers.UUIDField()
    pressure = QuantityField("gauge_pressure", allow_null=True)
    service_pressure = QuantityField("gauge_pressure", allow_null=True)
    band = serializers.CharField(
        allow_blank=True, help_text="Of the last cold pressure, at the reference temperature; empty after work on it."
    )
    band_as_read = serializers.CharField(allow_blank=True, help_text="The same of the gauge's own value.")
    band_action = serializers.CharField(allow_blank=True, help_text="What the published table asks for.")
    rate_percent_per_day = serializers.FloatField(allow_null=True, help_text="Of absolute pressure; negative: loses.")
    rate_low = serializers.FloatField(allow_null=True, help_text=_RATE_LOW)
    rate_high = serializers.FloatField(allow_null=True, help_text="Upper end of the 90 % interval.")
    fast = serializers.BooleanField(help_text="Too fast for an honest rate: read again tomorrow.")
    read_again_on = serializers.DateField(allow_null=True, help_text="Set when it loses fast.")
    landings_to_wear_limit = serializers.FloatField(
        allow_null=True, help_text="Expected from the tread, counted from the assessment."
    )
    landings_low = serializers.FloatField(
        allow_null=True, help_text="Lower end of the 80 % interval, counted from the last tread reading."
    )
    landings_high = serializers.FloatField(allow_null=True, help_text="Upper end of it.")


class HistoryReading(serializers.Serializer[Any]):
    """One live reading: as read, and at the sheet's conditions."""

    id = serializers.UUIDField()
    taken_at = serializers.DateTimeField()
    leg = serializers.UUIDField()
    temperature = QuantityField("temperature", allow_null=True)
    note = serializers.CharField(allow_blank=True)


class StrutHistoryReading(HistoryReading):
    """One live reading of a strut."""

    extension = QuantityField("length")
    corrected = QuantityField("length")
    uncertainty = QuantityField("length", help_text="Standard uncertainty of the corrected extension.")
    exercised = serializers.BooleanField()


class TyreHistoryReading(HistoryReading):
    """One live reading of a tyre."""

    pressure = QuantityField("gauge_pressure", allow_null=True)
    corrected = QuantityField("gauge_pressure", allow_null=True)
    tread = QuantityField("length", allow_null=True)


class HistoryWork(serializers.Serializer[Any]):
    """Work done on a part."""

    id = serializers.UUIDField()
    done_at = serializers.DateTimeField()
    work = serializers.CharField()
    note = serializers.CharField(allow_blank=True)


class HistoryStay(serializers.Serializer[Any]):
    """When a part was on a leg."""

    leg = serializers.UUIDField()
    registration = serializers.CharField()
    position = serializers.CharField()
    installed_at = serializers.DateTimeField()
    removed_at = serializers.DateTimeField(allow_null=True)


class HistoryChange(serializers.Serializer[Any]):
    """A change of finding."""

    at = serializers.DateTimeField()
    finding_before = serializers.ChoiceField(FINDINGS)
    finding = serializers.ChoiceField(FINDINGS)
    level = serializers.ChoiceField(Level.choices)


class StrutHistoryAnswer(serializers.Serializer[Any]):
    """All that is known of a strut over some time, oldest first."""

    readings = StrutHistoryReading(many=True)
    work = HistoryWork(many=True)
    installations = HistoryStay(many=True)
    findings = HistoryChange(many=True)


class TyreHistoryAnswer(serializers.Serializer[Any]):
    """All that is known of a tyre over some time, oldest first."""

    readings = TyreHistoryReading(many=True)
    work = HistoryWork(many=True)
    installations = HistoryStay(many=True)
    findings = HistoryChange(many=True)


class StrutTrendPoint(serializers.Serializer[Any]):
    """One reading as the drift computation took it."""

    reading = serializers.UUIDField()
    at = serializers.DateTimeField()
    raw = QuantityField("length")
    corrected = QuantityField("length")
    disposition = serializers.ChoiceField([disposition.value for disposition in DISPOSITIONS])
    fitted = QuantityField("length", allow_null=True, help_text=_FITTED)
    fitted_sd = QuantityField("length", allow_null=True, help_text="Its standard uncertainty.")


class TyreTrendPoint(serializers.Serializer[Any]):
    """One reading as the drift computation took it, in percent of the charge that gives service pressure."""

    reading = serializers.UUIDField()
    at = serializers.DateTimeField()
    raw_percent = serializers.FloatField()
    corrected_percent = serializers.FloatField()
    disposition = serializers.ChoiceField([disposition.value for disposition in DISPOSITIONS])
    fitted_percent = serializers.FloatField(allow_null=True, help_text=_FITTED)
    fitted_sd_percent = serializers.FloatField(allow_null=True)


class StrutTrendAnswer(serializers.Serializer[Any]):
    """A strut's readings with the level fitted to them."""

    standing = StrutStandingAnswer()
    points = StrutTrendPoint(many=True)


class TyreTrendAnswer(serializers.Serializer[Any]):
    """A tyre's readings with the level fitted to them."""

    standing = TyreStandingAnswer()
    points = TyreTrendPoint(many=True)
