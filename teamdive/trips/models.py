"""Boats, sites and trips: who is booked, which dives are planned, which teams were announced.

Until a trip is made ready these rows are its plan. From then on the snapshot and the boat log are,
and the services here refuse to change it.
"""

from __future__ import annotations

from secrets import token_bytes
from time import time_ns
from uuid import UUID

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from teamdive.boatlog.entries import uuid7
from teamdive.people.models import Club, DepthUnit, Diver, PressureUnit, Row, User, VolumeUnit

from .models_shore import FloatPlan, ShoreContact, ShoreSaid
from .models_teams import Proposal, RatherNot, Team, TeamMember

__all__ = [
    "Boat",
    "Booking",
    "Dive",
    "FloatPlan",
    "GasCheck",
    "Proposal",
    "RatherNot",
    "ShoreContact",
    "ShoreSaid",
    "Site",
    "Snapshot",
    "Team",
    "TeamMember",
    "Trip",
]


class Boat(Row):
    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="boats")
    name = models.CharField(max_length=120)
    most_persons = models.PositiveSmallIntegerField(null=True, blank=True, help_text="by its certificate")

    class Meta:
        ordering = ["name", "id"]
        constraints = [models.UniqueConstraint(fields=["club", "name"], name="one_boat_of_a_name")]

    def __str__(self) -> str:
        return self.name


class Site(Row):
    class Water(models.TextChoices):
        SALT = "salt", "salt"
        FRESH = "fresh", "fresh"

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="sites")
    name = models.CharField(max_length=120)
    water = models.CharField(max_length=5, choices=Water, default=Water.SALT)
    altitude_m = models.PositiveSmallIntegerField(default=0)
    position = models.CharField(max_length=80, blank=True, help_text="as the chart or the plotter shows it")

    class Meta:
        ordering = ["name", "id"]
        constraints = [models.UniqueConstraint(fields=["club", "name"], name="one_site_of_a_name")]

    def __str__(self) -> str:
        return self.name


class Trip(Row):
    class State(models.TextChoices):
        PLANNED = "planned", "planned"
        READY = "ready", "ready for the boat"

    club = models.ForeignKey(Club, on_delete=models.PROTECT, related_name="trips")
    name = models.CharField(max_length=120)
    boat = models.ForeignKey(Boat, null=True, blank=True, on_delete=models.PROTECT, related_name="trips")
    starts_at = models.DateTimeField()
    state = models.CharField(max_length=7, choices=State, default=State.PLANNED)
    # From the boat log alone: said to be over, with everyone accounted for, and nobody aboard or in since.
    ended_at = models.DateTimeField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["-starts_at", "id"]

    def __str__(self) -> str:
        return self.name


def booking_id() -> UUID:
    """An id that follows those given before: equal sets of teams are decided by the order of ids, which then is the
    order of booking (RFC 9562, section 6.2, method 3: the time within the millisecond comes first)."""
    ms, within = divmod(time_ns(), 1_000_000)
    return UUID(uuid7(ms, (within * 4096 // 1_000_000).to_bytes(2, "big") + token_bytes(8)))


class Booking(Row):
    """A person on a trip. Its id is the only name this person has in the boat log."""

    id = models.UUIDField(primary_key=True, default=booking_id, editable=False)

    class Role(models.TextChoices):
        ORGANISER = "organiser", "organiser"
        LEADER = "leader", "leader"
        DIVER = "diver", "diver"
        CREW = "crew", "crew"
        GUEST = "guest", "guest"

    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="bookings")
    diver = models.ForeignKey(Diver, null=True, blank=True, on_delete=models.PROTECT, related_name="bookings")
    name = models.CharField(
        max_length=120, blank=True, help_text="of crew and guests without a diver's record"
    )
    role = models.CharField(max_length=9, choices=Role, default=Role.DIVER)
    dives = models.BooleanField(default=True, help_text="goes into the water on this trip")
    # One boat all day. Where any booking of a trip has one, all must: see `rules_boats`.
    boat = models.ForeignKey(
        Boat,
        null=True,
        blank=True,
        on_delete=models.PROTECT,
        related_name="seats",
        help_text="of several boats the one this person goes on; empty: the trip's own",
    )
    # Dives shortly before the trip: null is not known, an empty list is none in the table's reach.
    earlier_dives = models.JSONField(null=True, blank=True)
    flies_at = models.DateTimeField(null=True, blank=True, help_text="when this person's flight home leaves")
    cancelled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["role", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["trip", "diver"],
                condition=Q(diver__isnull=False),
                name="one_booking_a_diver_and_trip",
            ),
            models.CheckConstraint(
                condition=Q(diver__isnull=False) | ~Q(name=""), name="booking_names_someone"
            ),
            models.CheckConstraint(
                condition=Q(dives=False) | Q(diver__isnull=False), name="who_dives_has_a_divers_record"
            ),
        ]

    def __str__(self) -> str:
        return self.display_name

    @property
    def display_name(self) -> str:
        return self.diver.name if self.diver else self.name

    @property
    def can_lead(self) -> bool:
        """Whether the club lets this person lead a team."""
        named = self.diver is not None and self.diver.can_lead
        supervised = self.diver is not None and self.diver.supervised
        return self.dives and not supervised and (named or self.role == Booking.Role.LEADER)


class Dive(Row):
    """One scheduled entry into the water for the whole boat."""

    class Work(models.TextChoices):
        LIGHT = "light", "light"
        MODERATE = "moderate", "moderate"
        HARD = "hard", "hard"

    class Return(models.TextChoices):
        SAME_POINT = "same_point", "back to the same point"
        FREE_ASCENT = "free_ascent", "free ascent, the boat follows"

    class TurnRule(models.TextChoices):
        ALL_USABLE = "all_usable", "all usable gas"
        HALVES = "halves", "halves"
        THIRDS = "thirds", "thirds"

    class Along(models.TextChoices):
        WITH = "with", "with the current first"
        AGAINST = "against", "against the current first"

    trip = models.ForeignKey(Trip, on_delete=models.CASCADE, related_name="dives")
    number = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    site = models.ForeignKey(Site, null=True, blank=True, on_delete=models.PROTECT, related_name="dives")
    planned_at = models.DateTimeField(null=True, blank=True)
    depth_hundredths = models.PositiveIntegerField()
    depth_unit = models.CharField(max_length=2, choices=DepthUnit)
    bottom_time_s = models.PositiveIntegerField()
    work = models.CharField(max_length=8, choices=Work, default=Work.MODERATE)
    return_to = models.CharField(max_length=11, choices=Return, default=Return.FREE_ASCENT)
    turn_rule = models.CharField(
        max_length=10,
        choices=TurnRule,
        blank=True,
        help_text="empty: halves on a way back, else all usable gas",
    )
    along_current = models.CharField(
        max_length=7, choices=Along, blank=True, help_text="out and back along the current: which way first"
    )
    swim_kn = models.DecimalField(
        max_digits=4, decimal_places=2, null=True, blank=True, help_text="speed of swimming along it"
    )
    task_unit_min = models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(240)],
        help_text="how long one unit of the task takes",
    )
    current_kn = models.DecimalField(max_digits=4, decimal_places=2, null=True, blank=True)
    visibility_m = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    water_temp_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    night = models.BooleanField(default=False)
    task_kind = models.CharField(max_length=40, blank=True)
    task_level = models.PositiveSmallIntegerField(null=True, blank=True, validators=[MaxValueValidator(5)])
    site_kind = models.JSONField(default=list, blank=True, help_text="words such as wreck or wall")
    # Who does not dive on this one. No reason is asked and none is kept.
    left_out = models.ManyToManyField(Booking, blank=True, related_name="left_out_of")
    # The teams last announced, also after they had to be withdrawn: a new solution changes as few as it can.
    last_announced = models.JSONField(default=list, blank=True, editable=False)
    # What was overridden for them: rule, diver, who decided, and the reason; it stays in the record.
    overrides = models.JSONField(default=list, blank=True, editable=False)

    class Meta:
        ordering = ["trip", "number"]
        constraints = [
            models.UniqueConstraint(fields=["trip", "number"], name="one_dive_a_number"),
            models.CheckConstraint(
                condition=Q(task_kind="", task_level__isnull=True)
                | (~Q(task_kind="") & Q(task_level__isnull=False)),
                name="dive_task_kind_has_its_level",
            ),
            models.CheckConstraint(
                condition=Q(along_current="", swim_kn__isnull=True)
                | (~Q(along_current="") & Q(swim_kn__isnull=False)),
                name="dive_along_a_current_has_its_speed",
            ),
            models.CheckConstraint(
                condition=Q(depth_hundredths__gt=0, bottom_time_s__gt=0), name="dive_has_extent"
            ),
        ]

    def __str__(self) -> str:
        return f"dive {self.number}: {self.depth_hundredths / 100:g} {self.depth_unit}"


class GasCheck(Row):
    """The cylinder one diver takes on one dive, as read at the dock: pressure, and oxygen analysed by whom."""

    booking = models.ForeignKey(Booking, on_delete=models.CASCADE, related_name="gas_checks")
    dive = models.ForeignKey(Dive, on_delete=models.CASCADE, related_name="gas_checks")
    cylinder = models.CharField(max_length=40)
    volume = models.DecimalField(max_digits=6, decimal_places=2)
    volume_unit = models.CharField(max_length=4, choices=VolumeUnit)
    working_pressure = models.PositiveIntegerField()
    pressure_unit = models.CharField(max_length=3, choices=PressureUnit)
    start_pressure = models.PositiveIntegerField(null=True, blank=True)
    o2_pm = models.PositiveSmallIntegerField(default=210, help_text="as labelled, per mille")
    analysed_o2_pm = models.PositiveSmallIntegerField(null=True, blank=True)
    analysed_by = models.ForeignKey(
        Booking, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    analysed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["booking", "dive"], name="one_gas_check_a_dive")]

    def __str__(self) -> str:
        return f"{self.booking}, {self.dive}: {self.start_pressure or 'not known'} {self.pressure_unit}"


class Snapshot(Row):
    """The trip as it left for the boat: canonical bytes, named by their hash, never changed."""

    trip = models.OneToOneField(Trip, on_delete=models.PROTECT, related_name="snapshot")
    hash = models.CharField(max_length=64, unique=True)
    canonical = models.TextField(help_text="RFC 8785 text of the snapshot")
    # Names travel beside the snapshot and can be erased without breaking its hash.
    names = models.JSONField()
    labels = models.JSONField()
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(User, null=True, blank=True, on_delete=models.SET_NULL, related_name="+")

    def __str__(self) -> str:
        return self.hash
