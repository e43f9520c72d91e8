from django.apps import AppConfig


class ProgramConfig(AppConfig):
    """Commands that join rooms live here; it has no rows."""

    name = "fleet.config"
    label = "program"
    verbose_name = "Sparebook program"

    def ready(self) -> None:
        """Whatever process this is, its access log holds no secret."""
        from fleet.config.unlogged import keep_out_of_access_logs

        keep_out_of_access_logs()
