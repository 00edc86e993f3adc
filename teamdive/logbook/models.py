"""Dives that divers have logged, each with the demands it met at the same time.

Equal dives may be merged into one row with a count; they are never reduced to separate maxima,
because having been deep and having done the task is not having done both at once.
"""

from __future__ import annotations

from decimal import Decimal
from typing import cast

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from teamdive.people.models import DepthUnit as DepthUnits
from teamdive.people.models import Diver, Row
from teamdive.physics.units import Depth, DepthUnit

from . import rules


class LoggedDive(Row):
    class Evidence(models.TextChoices):
        SAID = "said", "said"
        SHOWN = "shown", "shown"
        SEEN = "seen", "seen"
        LOGGED = "logged", "logged here"

    diver = models.ForeignKey(Diver, on_delete=models.CASCADE, related_name="logged_dives")
    on = models.DateField(help_text="day of the dive, or of the latest of equal dives")
    count = models.PositiveIntegerField(default=1, validators=[MinValueValidator(1)])
    depth_hundredths = models.PositiveIntegerField()
    depth_unit = models.CharField(max_length=2, choices=DepthUnits)
    bottom_time_s = models.PositiveIntegerField(null=True, blank=True)
    o2_pm = models.PositiveSmallIntegerField(null=True, blank=True)
    current_kn = models.DecimalField(max_digits=4, decimal_places=2, null=True, blank=True)
    visibility_m = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    water_temp_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    night = models.BooleanField(null=True, blank=True)
    task_kind = models.CharField(max_length=40, blank=True)
    task_level = models.PositiveSmallIntegerField(null=True, blank=True, validators=[MaxValueValidator(5)])
    site_kind = models.JSONField(default=list, blank=True, help_text="words such as wreck or wall")
    effort = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(5)]
    )
    rmv_l_min = models.DecimalField(
        max_digits=4,
        decimal_places=1,
        null=True,
        blank=True,
        help_text="breathing rate, not less than: as if the whole bottom time had been at the deepest",
    )
    evidence = models.CharField(max_length=6, choices=Evidence, default=Evidence.SAID)
    # The dive of a trip that this row came from: written once, however often it is projected.
    source = models.UUIDField(null=True, blank=True)

    class Meta:
        ordering = ["-on", "-depth_hundredths", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["diver", "source"],
                condition=Q(source__isnull=False),
                name="one_row_a_diver_and_source",
            ),
            models.CheckConstraint(condition=Q(count__gte=1), name="logged_count_at_least_one"),
            models.CheckConstraint(
                condition=Q(task_kind="", task_level__isnull=True)
                | (~Q(task_kind="") & Q(task_level__isnull=False)),
                name="task_kind_has_its_level",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.on}: {self.depth_hundredths / 100:g} {self.depth_unit} x {self.count}"


class MadeDive(Row):
    """A dive as the boat log of a trip tells it, with its time: what still counts for the diver's next dive.

    Worked out again whenever that log grows. What the log does not tell is null. No experience is read from it until
    its diver confirms it: then it stands among the logged dives, and follows what that log is later corrected to.
    """

    diver = models.ForeignKey(Diver, on_delete=models.CASCADE, related_name="made_dives")
    trip = models.UUIDField(db_index=True)
    number = models.PositiveSmallIntegerField(help_text="in the order of going down on that trip")
    down_at = models.DateTimeField()
    surfaced_at = models.DateTimeField(null=True, blank=True)
    bottom_time_s = models.PositiveIntegerField(null=True, blank=True)
    depth_hundredths = models.PositiveIntegerField(null=True, blank=True)
    depth_unit = models.CharField(max_length=2, choices=DepthUnits, blank=True)
    o2_pm = models.PositiveSmallIntegerField(null=True, blank=True, help_text="of a gas its diver analysed")
    task_kind = models.CharField(max_length=40, blank=True, help_text="what was planned to be done")
    task_level = models.PositiveSmallIntegerField(null=True, blank=True)
    site_kind = models.JSONField(
        default=list, blank=True, help_text="words of the plan, such as wreck or wall"
    )
    current_kn = models.DecimalField(max_digits=4, decimal_places=2, null=True, blank=True)
    visibility_m = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    water_temp_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    effort = models.PositiveSmallIntegerField(null=True, blank=True)
    pressure_start = models.PositiveSmallIntegerField(null=True, blank=True)
    pressure_end = models.PositiveSmallIntegerField(null=True, blank=True)
    pressure_unit = models.CharField(max_length=3, blank=True)
    cylinder_dl = models.PositiveIntegerField(null=True, blank=True)
    questions = models.JSONField(
        default=list, blank=True, help_text="codes of what the log leaves open about it"
    )
    confirmed_at = models.DateTimeField(null=True, blank=True)
    task_done = models.BooleanField(default=False, help_text="its diver says that the task was done")

    class Meta:
        ordering = ["down_at", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["diver", "trip", "number"], name="one_row_a_diver_trip_and_number"
            )
        ]

    @property
    def rmv_l_min(self) -> Decimal | None:
        """The diver's breathing rate on it, not less than; None where the log does not tell all of it."""
        known = (
            self.pressure_start,
            self.pressure_end,
            self.cylinder_dl,
            self.depth_hundredths,
            self.bottom_time_s,
        )
        if self.surfaced_at is None or any(value is None for value in known):
            return None
        start, end, cylinder, depth, bottom = cast(tuple[int, int, int, int, int], known)
        return rules.rmv_l_min(
            used=start - end,
            unit=self.pressure_unit,
            cylinder_dl=cylinder,
            depth=Depth(depth, cast(DepthUnit, self.depth_unit)),
            bottom_s=bottom,
            run_s=int((self.surfaced_at - self.down_at).total_seconds()),
        )

    def __str__(self) -> str:
        return f"{self.down_at}: {self.depth_hundredths} {self.depth_unit}"
