"""The program put together. Loading the Celery app here lets shared tasks find it."""

from fleet.config.celery import app as celery_app

__all__ = ["celery_app"]
