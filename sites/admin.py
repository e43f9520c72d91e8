"""The back door for clients, homes and people."""

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin

from sites.models import Agreement, Client, Contact, DayOff, Firm, Licence, Person, Site, Skill, WorkingTime


class ContactInline(admin.TabularInline):
    model = Contact
    extra = 0


class AgreementInline(admin.TabularInline):
    model = Agreement
    extra = 0


@admin.register(Firm)
class FirmAdmin(admin.ModelAdmin):
    list_display = ["name", "night_phone", "currency"]


@admin.register(Client)
class ClientAdmin(admin.ModelAdmin):
    list_display = ["name", "reading", "language", "phone"]
    search_fields = ["name", "reading", "phone"]


@admin.register(Site)
class SiteAdmin(admin.ModelAdmin):
    list_display = ["code", "name", "client", "country", "time_zone"]
    search_fields = ["code", "name", "client__name", "client__reading"]
    autocomplete_fields = ["client"]
    list_select_related = ["client"]
    inlines = [ContactInline, AgreementInline]


class WorkingTimeInline(admin.TabularInline):
    model = WorkingTime
    extra = 0


class DayOffInline(admin.TabularInline):
    model = DayOff
    extra = 0


class LicenceInline(admin.TabularInline):
    model = Licence
    extra = 0


class SkillInline(admin.TabularInline):
    model = Skill
    extra = 0


@admin.register(Person)
class PersonAdmin(UserAdmin):
    list_display = ["username", "first_name", "last_name", "role", "access_ends_on", "is_active"]
    list_filter = ["role", "is_active"]
    fieldsets = [
        *UserAdmin.fieldsets,
        (
            "In the firm",
            {
                "fields": [
                    "role",
                    "phone",
                    "access_ends_on",
                    "base_latitude",
                    "base_longitude",
                    "time_zone",
                    "sites",
                ]
            },
        ),
    ]
    inlines = [WorkingTimeInline, DayOffInline, LicenceInline, SkillInline]
    filter_horizontal = [*UserAdmin.filter_horizontal, "sites"]


admin.site.register([Contact, Agreement])
admin.site.site_header = "Sparebook: the back door"
admin.site.site_title = "Sparebook"
