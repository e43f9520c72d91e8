"""The back door for radios, meshes and copies. Sealed octets, digests of keys and tokens are left out.

What only the book itself may write (snapshots, the counter ledger, the journal) can be read here, not changed.
"""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from fleet.models import (
    Arrival,
    CounterEvidence,
    Drill,
    DrillDraw,
    Erasure,
    Finding,
    FirmwareRelease,
    InstallCode,
    JournalEntry,
    KeepRule,
    Mesh,
    ModelLimit,
    Node,
    Pin,
    Place,
    PushToken,
    Radio,
    RadioModel,
    ReadinessChange,
    Rehearsal,
    Round,
    ServicePeriod,
    Snapshot,
    TrayItem,
)
from fleet.models.mesh import WRITTEN_BY_ROUNDS


class ReadOnlyAdmin(admin.ModelAdmin):
    """Rows that verbs write; a person may look."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


class LimitInline(admin.TabularInline):
    model = ModelLimit
    extra = 0


class ReleaseInline(admin.TabularInline):
    model = FirmwareRelease
    # Policy and place have a history of their own: see fleet.verbs.firmware.
    fields = ["version", "order_key", "purpose", "policy", "policy_reason"]
    readonly_fields = ["order_key", "policy", "policy_reason"]
    extra = 0


@admin.register(RadioModel)
class RadioModelAdmin(admin.ModelAdmin):
    list_display = ["code", "maker", "name", "family", "connection", "address_policy"]
    search_fields = ["code", "maker", "name"]
    inlines = [LimitInline, ReleaseInline]


@admin.register(FirmwareRelease)
class FirmwareReleaseAdmin(admin.ModelAdmin):
    list_display = ["model", "version", "order_key", "purpose", "policy"]
    list_filter = ["policy", "model"]
    search_fields = ["version", "model__code"]
    readonly_fields = ["order_key", "policy", "policy_reason"]


class PeriodInline(admin.TabularInline):
    model = ServicePeriod
    extra = 0
    autocomplete_fields = ["mesh"]


@admin.register(Radio)
class RadioAdmin(admin.ModelAdmin):
    list_display = ["code", "model", "firmware", "state", "place", "factory_address", "carried_address"]
    list_filter = ["state", "model"]
    search_fields = ["code", "serial", "factory_address", "carried_address"]
    list_select_related = ["model", "firmware__model", "place"]
    inlines = [PeriodInline]


@admin.register(ServicePeriod)
class ServicePeriodAdmin(admin.ModelAdmin):
    list_display = ["radio", "mesh", "since", "until", "why_ended"]
    list_select_related = ["radio", "mesh"]
    autocomplete_fields = ["radio", "mesh"]


@admin.register(Mesh)
class MeshAdmin(admin.ModelAdmin):
    list_display = ["code", "site", "name", "safety_relevant", "in_care", "readiness"]
    list_filter = ["readiness", "in_care", "safety_relevant"]
    search_fields = ["code", "site__client__name"]
    list_select_related = ["site"]
    autocomplete_fields = ["site"]
    # What snapshots and the round write is shown and not typed.
    readonly_fields = ("keep_rule", "key_mark", "key_sequence", "table_use", *WRITTEN_BY_ROUNDS)


@admin.register(Node)
class NodeAdmin(admin.ModelAdmin):
    list_display = ["extended_address", "mesh", "label", "room", "role", "power", "safety_kind"]
    list_filter = ["role", "power", "safety_kind"]
    search_fields = ["extended_address", "label", "room", "mesh__code"]
    list_select_related = ["mesh"]
    autocomplete_fields = ["mesh"]


@admin.register(Place)
class PlaceAdmin(admin.ModelAdmin):
    list_display = ["code", "name", "kind", "site", "holder"]
    list_select_related = ["site", "holder"]


@admin.register(KeepRule)
class KeepRuleAdmin(ReadOnlyAdmin):
    # A change shows its effect first, and may need two people: see fleet.verbs.keep_rules.
    list_display = ["name", "is_default", "days", "weeks", "months", "years", "grace_days", "freshness_hours"]


@admin.register(Pin)
class PinAdmin(ReadOnlyAdmin):
    list_display = ["mesh", "snapshot", "kind", "reason", "by", "at", "ended_at"]
    list_filter = ["kind"]
    list_select_related = ["mesh", "snapshot"]


@admin.register(Drill)
class DrillAdmin(admin.ModelAdmin):
    list_display = ["mesh", "kind", "result", "done_at", "minutes", "radio"]
    list_filter = ["kind", "result"]
    list_select_related = ["mesh", "radio"]
    autocomplete_fields = ["mesh", "radio"]
    raw_id_fields = ["snapshot"]


@admin.register(DrillDraw)
class DrillDrawAdmin(ReadOnlyAdmin):
    list_display = ["month", "count", "seed", "drawn_at", "by"]


@admin.register(Rehearsal)
class RehearsalAdmin(ReadOnlyAdmin):
    list_display = ["mesh", "kind", "begun_at", "ended_at", "end", "radio", "by"]
    list_filter = ["kind", "end"]
    list_select_related = ["mesh", "radio"]


@admin.register(Snapshot)
class SnapshotAdmin(ReadOnlyAdmin):
    list_display = ["mesh", "taken_at", "grade", "currency", "custody", "node_count"]
    list_filter = ["grade", "currency", "custody"]
    search_fields = ["mesh__code"]
    list_select_related = ["mesh"]
    exclude = ["body_mark", "meaning_mark"]


@admin.register(Arrival)
class ArrivalAdmin(ReadOnlyAdmin):
    list_display = ["snapshot", "at", "how", "by", "file_name"]
    exclude = ["body_mark"]


@admin.register(TrayItem)
class TrayItemAdmin(ReadOnlyAdmin):
    list_display = ["received_at", "mesh", "reason", "how", "file_name", "cleared_at"]
    list_filter = ["reason"]
    list_select_related = ["mesh"]
    exclude = ["body_mark"]


@admin.register(Finding)
class FindingAdmin(ReadOnlyAdmin):
    list_display = ["mesh", "code", "severity", "message", "found_at"]
    list_filter = ["severity", "code"]
    list_select_related = ["mesh"]


@admin.register(CounterEvidence)
class CounterEvidenceAdmin(ReadOnlyAdmin):
    list_display = ["mesh", "at", "value", "kind", "key_sequence", "key_mark", "by"]
    list_filter = ["kind"]
    list_select_related = ["mesh"]


@admin.register(Erasure)
class ErasureAdmin(ReadOnlyAdmin):
    list_display = ["client", "at", "by", "second", "ring_renewed_at"]
    list_select_related = ["client"]


@admin.register(Round)
class RoundAdmin(ReadOnlyAdmin):
    list_display = ["started_at", "finished_at", "state", "done", "total", "marked", "erased"]


@admin.register(ReadinessChange)
class ReadinessChangeAdmin(ReadOnlyAdmin):
    list_display = ["mesh", "at", "was", "became", "gate"]
    list_filter = ["became", "gate"]
    list_select_related = ["mesh"]


@admin.register(JournalEntry)
class JournalEntryAdmin(ReadOnlyAdmin):
    list_display = ["at", "who", "what", "subject"]
    search_fields = ["who", "what", "subject"]


@admin.register(PushToken)
class PushTokenAdmin(ReadOnlyAdmin):
    list_display = ["mesh", "label", "made_at", "made_by", "last_used_at", "revoked_at"]
    list_select_related = ["mesh"]
    exclude = ["digest"]


@admin.register(InstallCode)
class InstallCodeAdmin(ReadOnlyAdmin):
    list_display = ["node", "entered_by", "entered_at"]
    list_select_related = ["node"]
    fields = ["node", "entered_by", "entered_at"]
