"""The book's settings with all waiting shortened: what is lost comes back in seconds instead of minutes."""

from fleet.config.settings import *  # noqa: F403

ROUND_CHUNK = 10
ROUND_LEASE_SECONDS = 4
CELERY_BEAT_SCHEDULE = {"the rounds": {"task": "fleet.tasks.look_after_rounds", "schedule": 1.0}}
CELERY_BROKER_TRANSPORT_OPTIONS = {
    **CELERY_BROKER_TRANSPORT_OPTIONS,  # type: ignore[name-defined]  # noqa: F405
    "visibility_timeout": 20,
}
