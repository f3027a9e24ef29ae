"""The fleet: who and what."""

from django.apps import AppConfig


class FleetConfig(AppConfig):
    """Operators, people, aircraft, their gear and equipment."""

    name = "fleet"
