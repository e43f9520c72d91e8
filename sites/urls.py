"""Paths of this room. Those that write take `record`, the journal's pen, from whoever joins the rooms."""

from django.urls import URLPattern, path

from sites import pages
from sites.verbs import Record

client_urls = [
    path("clients/", pages.clients, name="clients"),
    path("clients/<uuid:uid>/", pages.client, name="client"),
]


def writing_urls(record: Record) -> list[URLPattern]:
    """The forms."""
    pen = {"record": record}
    return [
        path("clients/new/", pages.new_client, pen, name="client-new"),
        path("clients/<uuid:uid>/change/", pages.change_client, pen, name="client-change"),
        path("clients/<uuid:uid>/hold/", pages.hold, pen, name="client-hold"),
        path("clients/<uuid:uid>/homes/new/", pages.new_site, pen, name="site-new"),
        path("homes/<str:code>/change/", pages.change_site, pen, name="site-change"),
        path("homes/<str:code>/contacts/new/", pages.new_contact, pen, name="contact-new"),
        path("homes/<str:code>/contacts/<int:pk>/", pages.change_contact, pen, name="contact-change"),
        path("homes/<str:code>/contacts/<int:pk>/strike/", pages.strike_contact, pen, name="contact-strike"),
        path("homes/<str:code>/agreements/new/", pages.new_agreement, pen, name="agreement-new"),
        path("homes/<str:code>/agreements/<int:pk>/", pages.change_agreement, pen, name="agreement-change"),
    ]
