"""WSGI entry for any server."""

import os

from django.core.wsgi import get_wsgi_application

from deploy.celery import app as celery_app
from deploy.warming import warm_up_beside

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "deploy.settings")

application = get_wsgi_application()
celery_app.finalize()  # the web process sends nudges, so it must know the broker
warm_up_beside()
