"""The back door for issued sheets: to look at, never to change."""

from django.contrib import admin

from fleet.admin import ReadOnlyAdmin
from reports.models import Sheet


@admin.register(Sheet)
class SheetAdmin(ReadOnlyAdmin):
    list_display = ["number", "kind", "site", "mesh", "revision", "issued_at", "stale_since"]
    list_filter = ["kind"]
    search_fields = ["number", "site__code"]
    list_select_related = ["site", "mesh"]
