"""The back door for issued sheets: to look at, never to change."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from reports.models import Sheet


@admin.register(Sheet)
class SheetAdmin(admin.ModelAdmin):
    list_display = ["number", "kind", "site", "mesh", "revision", "issued_at", "stale_since"]
    list_filter = ["kind"]
    search_fields = ["number", "site__code"]
    list_select_related = ["site", "mesh"]

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False
