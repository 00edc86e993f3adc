"""The keeper's door to clubs and people."""

from django.contrib import admin

from .models import Certification, Club, Cylinder, Diver, Fitness, ImportedSheet, Membership, User


class Certifications(admin.TabularInline):
    model = Certification
    extra = 0


class FitnessInline(admin.TabularInline):
    model = Fitness
    extra = 0


class Cylinders(admin.TabularInline):
    model = Cylinder
    extra = 0


@admin.register(Diver)
class DiverAdmin(admin.ModelAdmin):
    list_display = ("name", "club", "member_number", "can_lead")
    list_filter = ("club", "can_lead")
    search_fields = ("name", "email", "member_number")
    inlines = (Certifications, FitnessInline, Cylinders)
    raw_id_fields = ("user",)


@admin.register(Club)
class ClubAdmin(admin.ModelAdmin):
    list_display = ("name", "overdue_after_min", "method", "time_zone")


@admin.register(Membership)
class MembershipAdmin(admin.ModelAdmin):
    list_display = ("user", "club", "role")
    list_filter = ("club", "role")


@admin.register(User)
class UserAdmin(admin.ModelAdmin):
    list_display = ("email", "is_active", "is_staff")
    search_fields = ("email",)
    exclude = ("password",)
    readonly_fields = ("last_login",)


@admin.register(ImportedSheet)
class ImportedSheetAdmin(admin.ModelAdmin):
    list_display = ("file_name", "club", "state", "made_at")
    readonly_fields = (
        "club",
        "made_by",
        "made_at",
        "file_name",
        "file_sha256",
        "state",
        "applied_at",
        "result",
    )
    exclude = ("table", "columns", "choices")
