"""The Celery application; tasks live in servicing.tasks, their times in servicing.schedule."""

import os

from celery import Celery

import deploy.warming  # noqa: F401  # connects itself to the worker's start
from servicing.schedule import SCHEDULE

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "deploy.settings")

app = Celery("undercart")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["servicing"])
app.conf.beat_schedule = SCHEDULE
# Threads of a web server see only the default app; without this their nudges would go to a broker nobody runs.
app.set_default()
