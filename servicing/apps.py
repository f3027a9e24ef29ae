"""Servicing: what happens to struts and tyres."""

from django.apps import AppConfig


class ServicingConfig(AppConfig):
    """Readings, work, drift, reinspections, alerts, mail and records."""

    name = "servicing"
