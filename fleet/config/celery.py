"""The Celery app. Tasks are written with @shared_task in the rooms; this file only joins them to settings."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fleet.config.settings")

app = Celery("sparebook")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
