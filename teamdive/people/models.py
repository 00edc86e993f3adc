"""Clubs, the people in them, and what the club's records say about each diver.

A number that a person typed keeps its unit: depths are whole hundredths of the unit typed,
so that 60 ft stays 60 ft and finds the row of exactly that many feet.
"""

from __future__ import annotations

from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Lower

from .models_base import DepthUnit, Evidence, PressureUnit, Row, User, VolumeUnit
from .rules import (
    LEAST_REST_MIN,
    LEAST_WAIT_BEYOND_LIMIT_MIN,
    LONGEST_OWN_WAIT_MIN,
    MOST_CALL_EVERY_MIN,
    MOST_CALLS_BEFORE_NEXT,
    MOST_DUE_SOON_MIN,
    MOST_OXYGEN_L,
    MOST_QUIET_MIN,
    name_key,
)

__all__ = [
    "Certification",
    "Club",
    "Cylinder",
    "DepthUnit",
    "Diver",
    "Evidence",
    "Fitness",
    "ImportedSheet",
    "Membership",
    "PressureUnit",
    "Row",
    "User",
    "VolumeUnit",
]


def _own_wait(least_min: int) -> Any:
    """Minutes that a club may decide for itself; empty: it has not."""
    between = [MinValueValidator(least_min), MaxValueValidator(LONGEST_OWN_WAIT_MIN)]
    return models.PositiveSmallIntegerField(null=True, blank=True, validators=between)


class Club(Row):
    """A club and its settings. What a club must decide itself has no default."""

    class Method(models.TextChoices):
        SHORTER = "shorter", "the shorter of table and tissue model"
        TABLE = "table", "the table"
        TISSUE = "tissue", "the tissue model"

    name = models.CharField(max_length=120, unique=True)
    time_zone = models.CharField(max_length=64, default="UTC")
    depth_unit = models.CharField(max_length=2, choices=DepthUnit, default=DepthUnit.METRES)
    pressure_unit = models.CharField(max_length=3, choices=PressureUnit, default=PressureUnit.BAR)
    volume_unit = models.CharField(max_length=4, choices=VolumeUnit, default=VolumeUnit.LITRES)
    # No figure is published for when a late team counts as overdue, so the club must say it.
    overdue_after_min = models.PositiveSmallIntegerField(null=True, blank=True)
    # How many people count before the boat leaves; a club added from now on needs two (`services.add_club`).
    counts_needed = models.PositiveSmallIntegerField(default=1, choices=[(1, "one"), (2, "two")])
    # For how long one phone may be quiet about a team, and from when on a team is due soon; empty: the deck's own.
    quiet_min = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(MOST_QUIET_MIN)]
    )
    due_soon_min = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MaxValueValidator(MOST_DUE_SOON_MIN)]
    )
    # The club's own steps for a lost diver, `[{"say", "after_min"}]` in order; empty: the general ones of the boat log.
    lost_diver = models.JSONField(default=list, blank=True)
    # What is read where help is called for: whom and how, the radio channel, the call sign of the boat's radio.
    rescue_contact = models.CharField(max_length=300, blank=True)
    radio_channel = models.CharField(max_length=60, blank=True)
    call_sign = models.CharField(max_length=40, blank=True)
    # Oxygen aboard for somebody who is not well, in litres at 1 bar: cylinder volume times pressure.
    oxygen_l = models.PositiveIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(MOST_OXYGEN_L)]
    )
    # The alarm ashore: every how many minutes it calls, and after how many calls also the next person. No figure is
    # published, so a club whose trips have a back-by time must say both.
    shore_call_every_min = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(MOST_CALL_EVERY_MIN)]
    )
    shore_calls_before_next = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(MOST_CALLS_BEFORE_NEXT)]
    )
    method = models.CharField(max_length=8, choices=Method, default=Method.SHORTER)
    gf_low_pm = models.PositiveSmallIntegerField(default=400)
    gf_high_pm = models.PositiveSmallIntegerField(default=800)
    least_surface_interval_min = models.PositiveSmallIntegerField(null=True, blank=True)
    no_fly_wait_min = models.PositiveSmallIntegerField(null=True, blank=True)
    # Where no figure is published: before flying after a dive beyond its limit, after another gas than air, and before
    # the next dive after a dive beyond its limit (24 h where the club says nothing).
    club_wait_beyond_limit_min = _own_wait(LEAST_WAIT_BEYOND_LIMIT_MIN)
    club_wait_other_gas_min = _own_wait(1)
    rest_after_beyond_limit_min = _own_wait(LEAST_REST_MIN)
    no_fly_to_altitude_ft = models.PositiveIntegerField(default=8000)
    beyond_40_m_enabled = models.BooleanField(default=False)
    policy = models.JSONField(
        default=dict, blank=True, help_text="of pairing, as the teams calculation takes it"
    )
    # `gas_law`, `fill_temp_c`, `gas_margin_percent` and the parts of `sharing`, as the plan calculation takes them.
    gas = models.JSONField(default=dict, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(gf_low_pm__gte=100, gf_low_pm__lte=F("gf_high_pm"), gf_high_pm__lte=1000),
                name="club_gf_in_order",
            ),
            models.CheckConstraint(
                condition=Q(overdue_after_min__isnull=True)
                | Q(overdue_after_min__gte=1, overdue_after_min__lte=240),
                name="club_overdue_after_min_sane",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Membership(Row):
    """What a user may do in a club."""

    class Role(models.TextChoices):
        ORGANISER = "organiser", "organiser"
        LEADER = "leader", "leader"
        DIVER = "diver", "diver"

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="memberships")
    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=9, choices=Role)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["club", "user"], name="one_membership_a_club")]

    def __str__(self) -> str:
        return f"{self.user} ({self.role}, {self.club})"


class Diver(Row):
    """The club's record of one person. It may stand without an account."""

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="divers")
    user = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="divers")
    name = models.CharField(max_length=120)
    # The name without case, accents and double spaces: what two spellings of one person share.
    name_key = models.CharField(max_length=120, editable=False)
    email = models.EmailField(blank=True)
    member_number = models.CharField(max_length=40, blank=True)
    born = models.DateField(null=True, blank=True)
    phone = models.CharField(max_length=60, blank=True)
    emergency_contact = models.CharField(max_length=200, blank=True)
    notes = models.TextField(blank=True, max_length=2000)
    can_lead = models.BooleanField(default=False, help_text="named by the club as fit to lead a team")
    supervised = models.BooleanField(
        default=False,
        help_text="dives under a leader's supervision only; never counts as the one who shares gas",
    )
    # Of somebody under age: whether the paper is on file (None: not known), and who of the club is a guardian.
    guardian_consent = models.BooleanField(null=True, blank=True, help_text="the written consent is on file")
    guardians = models.ManyToManyField("self", symmetrical=False, related_name="wards", blank=True)

    depth_unit = models.CharField(max_length=2, choices=DepthUnit, default=DepthUnit.METRES)
    pressure_unit = models.CharField(max_length=3, choices=PressureUnit, default=PressureUnit.BAR)
    volume_unit = models.CharField(max_length=4, choices=VolumeUnit, default=VolumeUnit.LITRES)

    rmv_l_min = models.DecimalField(
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(5), MaxValueValidator(100)],
        help_text="ordinary working mean, litres a minute at the surface",
    )
    rmv_sd_l_min = models.DecimalField(
        max_digits=5, decimal_places=2, null=True, blank=True, validators=[MaxValueValidator(50)]
    )

    # What the diver states of a log the club has not seen dive by dive.
    stated_dives = models.PositiveIntegerField(null=True, blank=True)
    stated_dives_last_year = models.PositiveIntegerField(null=True, blank=True)
    stated_last_dive = models.DateField(null=True, blank=True)
    stated_deepest_hundredths = models.PositiveIntegerField(null=True, blank=True)
    stated_deepest_unit = models.CharField(max_length=2, choices=DepthUnit, blank=True)

    class Meta:
        ordering = ["name_key", "id"]
        constraints = [
            models.UniqueConstraint(
                "club", Lower("email"), condition=~Q(email=""), name="one_diver_an_email_in_a_club"
            ),
            models.UniqueConstraint(
                fields=["club", "member_number"],
                condition=~Q(member_number=""),
                name="one_diver_a_member_number",
            ),
            models.UniqueConstraint(
                fields=["club", "user"], condition=Q(user__isnull=False), name="one_diver_a_user_in_a_club"
            ),
        ]
        indexes = [models.Index(fields=["club", "name_key"])]

    def __str__(self) -> str:
        return self.name

    def save(self, *args: Any, **kwargs: Any) -> None:
        self.name_key = name_key(self.name)
        super().save(*args, **kwargs)


class Certification(Row):
    """A certification by the name the diver gave it; the depth is what it certifies to."""

    diver = models.ForeignKey(Diver, on_delete=models.CASCADE, related_name="certifications")
    name = models.CharField(max_length=120)
    organisation = models.CharField(max_length=120, blank=True)
    depth_hundredths = models.PositiveIntegerField(null=True, blank=True)
    depth_unit = models.CharField(max_length=2, choices=DepthUnit, blank=True)
    on = models.DateField(null=True, blank=True)
    until = models.DateField(
        null=True, blank=True, help_text="the last day it is good for, where it runs out"
    )
    evidence = models.CharField(max_length=5, choices=Evidence, default=Evidence.SAID)

    class Meta:
        ordering = ["name", "id"]
        constraints = [
            models.UniqueConstraint(fields=["diver", "name"], name="one_certification_of_a_name"),
            models.CheckConstraint(
                condition=Q(depth_hundredths__isnull=True, depth_unit="")
                | Q(depth_hundredths__isnull=False, depth_unit__in=["m", "ft"]),
                name="certified_depth_has_its_unit",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Fitness(Row):
    """Whether a declaration of fitness to dive is in date. What it says of health is never kept here."""

    diver = models.OneToOneField(Diver, on_delete=models.CASCADE, related_name="fitness")
    in_date_until = models.DateField(null=True, blank=True)
    restricted = models.BooleanField(default=False, help_text="dives only after asking; never why")
    evidence = models.CharField(max_length=5, choices=Evidence, default=Evidence.SAID)

    class Meta:
        verbose_name_plural = "fitness"

    def __str__(self) -> str:
        return f"{self.diver}: in date until {self.in_date_until or 'not known'}"


class Cylinder(Row):
    """A cylinder a diver usually brings: volume needs its working pressure wherever it is in cuft."""

    diver = models.ForeignKey(Diver, on_delete=models.CASCADE, related_name="cylinders")
    label = models.CharField(max_length=40, default="main")
    volume = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    volume_unit = models.CharField(max_length=4, choices=VolumeUnit, blank=True)
    working_pressure = models.PositiveIntegerField(null=True, blank=True)
    pressure_unit = models.CharField(max_length=3, choices=PressureUnit, blank=True)
    redundant = models.BooleanField(
        default=False, help_text="carried for an emergency, never counted in a plan"
    )

    class Meta:
        ordering = ["redundant", "label", "id"]
        constraints = [models.UniqueConstraint(fields=["diver", "label"], name="one_cylinder_a_label")]

    def __str__(self) -> str:
        return f"{self.label}: {self.volume} {self.volume_unit}"


class ImportedSheet(Row):
    """An uploaded roster or another sheet of the club, what it was read as, and what became of it."""

    class State(models.TextChoices):
        PREVIEW = "preview", "preview"
        APPLIED = "applied", "applied"

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="imports")
    # What the file holds, by the name of its kind; each kind has its own fields and its own writer.
    sheet = models.CharField(max_length=20, default="roster")
    made_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")
    made_at = models.DateTimeField()
    file_name = models.CharField(max_length=200)
    file_sha256 = models.CharField(max_length=64)
    table = models.JSONField(help_text="the header and the cells, as read")
    columns = models.JSONField(default=list)
    choices = models.JSONField(default=dict)
    state = models.CharField(max_length=7, choices=State, default=State.PREVIEW)
    applied_at = models.DateTimeField(null=True, blank=True)
    result = models.JSONField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "id"]

    def __str__(self) -> str:
        return f"{self.file_name} ({self.state})"
