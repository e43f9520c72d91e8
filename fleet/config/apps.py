from django.apps import AppConfig


class ProgramConfig(AppConfig):
    """Commands that join rooms live here; it has no rows."""

    name = "fleet.config"
    label = "program"
    verbose_name = "Sparebook program"
