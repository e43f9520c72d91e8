from django.apps import AppConfig


class SitesConfig(AppConfig):
    name = "sites"
    verbose_name = "Clients, sites and people"
