"""The back door for issued sheets: to look at, never to change."""

from django.contrib import admin

from fleet.admin import ReadOnlyAdmin
from reports.models import Sheet, SheetLink, Signature


@admin.register(Sheet)
class SheetAdmin(ReadOnlyAdmin):
    list_display = ["number", "kind", "site", "mesh", "revision", "issued_at", "stale_since"]
    list_filter = ["kind"]
    search_fields = ["number", "site__code"]
    list_select_related = ["site", "mesh"]


@admin.register(SheetLink)
class SheetLinkAdmin(ReadOnlyAdmin):
    list_display = ["sheet", "for_whom", "made_at", "made_by", "expires_at", "revoked_at", "opens"]
    list_select_related = ["sheet"]


@admin.register(Signature)
class SignatureAdmin(ReadOnlyAdmin):
    list_display = ["sheet", "name", "role", "method", "signed_at", "zone"]
    list_select_related = ["sheet"]
