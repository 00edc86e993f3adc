"""The keeper's door to the log."""

from django.contrib import admin

from .models import LoggedDive


@admin.register(LoggedDive)
class LoggedDiveAdmin(admin.ModelAdmin):
    list_display = (
        "diver",
        "on",
        "count",
        "depth_hundredths",
        "depth_unit",
        "task_kind",
        "task_level",
        "evidence",
    )
    list_filter = ("evidence",)
    raw_id_fields = ("diver",)
