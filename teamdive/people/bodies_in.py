"""The bodies that the doors of people take, checked field by field."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from teamdive.physics.real_gas import LAWS

from .models import Club
from .rules import (
    LEAST_REST_MIN,
    LEAST_WAIT_BEYOND_LIMIT_MIN,
    LONGEST_OWN_WAIT_MIN,
    MOST_CALL_EVERY_MIN,
    MOST_CALLS_BEFORE_NEXT,
    MOST_DUE_SOON_MIN,
    MOST_OXYGEN_L,
    MOST_QUIET_MIN,
    ROLES,
)


def _own_wait(least_min: int) -> serializers.IntegerField:
    return serializers.IntegerField(
        min_value=least_min, max_value=LONGEST_OWN_WAIT_MIN, allow_null=True, required=False
    )


class GasSettings(serializers.Serializer[Any]):
    """What a club decides for every plan of gas; what it leaves out is the plan calculation's own."""

    gas_law = serializers.ChoiceField(choices=LAWS, required=False)
    fill_temp_c = serializers.FloatField(min_value=-5, max_value=60, required=False)
    gas_margin_percent = serializers.FloatField(min_value=0, max_value=200, required=False)
    stressed_rmv_l_min = serializers.FloatField(min_value=5, max_value=150, required=False)
    delay_at_depth_min = serializers.FloatField(min_value=0, max_value=10, required=False)
    surface_reserve = serializers.FloatField(min_value=0, required=False)
    regulator_minimum = serializers.FloatField(min_value=0, required=False)


class StepBody(serializers.Serializer[Any]):
    """One step of the club's own procedure for a lost diver; `after_min`: minutes from overdue, null: no time set."""

    say = serializers.CharField(allow_blank=True)
    after_min = serializers.IntegerField(allow_null=True, required=False)


class ClubBody(serializers.Serializer[Any]):
    overdue_after_min = serializers.IntegerField(min_value=1, max_value=240, allow_null=True, required=False)
    counts_needed = serializers.ChoiceField(choices=[1, 2], required=False)
    quiet_min = serializers.IntegerField(
        min_value=1, max_value=MOST_QUIET_MIN, allow_null=True, required=False
    )
    due_soon_min = serializers.IntegerField(
        min_value=0, max_value=MOST_DUE_SOON_MIN, allow_null=True, required=False
    )
    lost_diver = StepBody(many=True, required=False)
    rescue_contact = serializers.CharField(max_length=300, allow_blank=True, required=False)
    radio_channel = serializers.CharField(max_length=60, allow_blank=True, required=False)
    call_sign = serializers.CharField(max_length=40, allow_blank=True, required=False)
    oxygen_l = serializers.IntegerField(min_value=1, max_value=MOST_OXYGEN_L, allow_null=True, required=False)
    shore_call_every_min = serializers.IntegerField(
        min_value=1, max_value=MOST_CALL_EVERY_MIN, allow_null=True, required=False
    )
    shore_calls_before_next = serializers.IntegerField(
        min_value=1, max_value=MOST_CALLS_BEFORE_NEXT, allow_null=True, required=False
    )
    method = serializers.ChoiceField(choices=Club.Method.values, required=False)
    gf_low_pm = serializers.IntegerField(min_value=100, max_value=1000, required=False)
    gf_high_pm = serializers.IntegerField(min_value=100, max_value=1000, required=False)
    least_surface_interval_min = serializers.IntegerField(
        min_value=10, max_value=1440, allow_null=True, required=False
    )
    no_fly_wait_min = serializers.IntegerField(min_value=1, max_value=10080, allow_null=True, required=False)
    club_wait_beyond_limit_min = _own_wait(LEAST_WAIT_BEYOND_LIMIT_MIN)
    club_wait_other_gas_min = _own_wait(1)
    rest_after_beyond_limit_min = _own_wait(LEAST_REST_MIN)
    no_fly_to_altitude_ft = serializers.IntegerField(min_value=1000, max_value=10000, required=False)
    beyond_40_m_enabled = serializers.BooleanField(required=False)
    depth_unit = serializers.ChoiceField(choices=["m", "ft"], required=False)
    pressure_unit = serializers.ChoiceField(choices=["bar", "psi"], required=False)
    volume_unit = serializers.ChoiceField(choices=["l", "cuft"], required=False)
    time_zone = serializers.CharField(max_length=64, required=False)
    policy = serializers.DictField(required=False)
    gas = GasSettings(required=False)


class CertificationBody(serializers.Serializer[Any]):
    name = serializers.CharField(max_length=120)
    organisation = serializers.CharField(max_length=120, required=False, allow_blank=True)
    depth_hundredths = serializers.IntegerField(
        min_value=1, max_value=100_000, required=False, allow_null=True
    )
    depth_unit = serializers.ChoiceField(choices=["m", "ft"], required=False)
    on = serializers.DateField(required=False, allow_null=True)
    until = serializers.DateField(required=False, allow_null=True)
    evidence = serializers.ChoiceField(choices=["said", "shown", "seen"], required=False)

    def validate(self, attrs: Any) -> Any:
        if (attrs.get("depth_hundredths") is None) != ("depth_unit" not in attrs):
            raise serializers.ValidationError({"depth_unit": ["A depth needs its unit."]})
        return dict(attrs)


class FitnessBody(serializers.Serializer[Any]):
    in_date_until = serializers.DateField(allow_null=True)
    restricted = serializers.BooleanField(required=False)
    evidence = serializers.ChoiceField(choices=["said", "shown", "seen"], required=False)


class CylinderBody(serializers.Serializer[Any]):
    volume = serializers.DecimalField(6, 2, min_value=0)
    volume_unit = serializers.ChoiceField(choices=["l", "cuft"])
    working_pressure = serializers.IntegerField(min_value=50, max_value=6000)
    pressure_unit = serializers.ChoiceField(choices=["bar", "psi"])


class RecordBody(serializers.Serializer[Any]):
    name = serializers.CharField(max_length=120, required=False)
    email = serializers.EmailField(required=False, allow_blank=True)
    member_number = serializers.CharField(max_length=40, required=False, allow_blank=True)
    born = serializers.DateField(required=False, allow_null=True)
    phone = serializers.CharField(max_length=60, required=False, allow_blank=True)
    emergency_contact = serializers.CharField(max_length=200, required=False, allow_blank=True)
    notes = serializers.CharField(max_length=2000, required=False, allow_blank=True)
    can_lead = serializers.BooleanField(required=False)
    supervised = serializers.BooleanField(required=False)
    guardian_consent = serializers.BooleanField(required=False, allow_null=True)
    guardians = serializers.ListField(child=serializers.UUIDField(), required=False, max_length=10)
    depth_unit = serializers.ChoiceField(choices=["m", "ft"], required=False)
    pressure_unit = serializers.ChoiceField(choices=["bar", "psi"], required=False)
    volume_unit = serializers.ChoiceField(choices=["l", "cuft"], required=False)
    rmv_l_min = serializers.DecimalField(5, 2, min_value=5, max_value=100, required=False, allow_null=True)
    rmv_sd_l_min = serializers.DecimalField(5, 2, min_value=0, max_value=50, required=False, allow_null=True)
    stated_dives = serializers.IntegerField(min_value=0, max_value=50_000, required=False, allow_null=True)
    stated_last_dive = serializers.DateField(required=False, allow_null=True)
    certification = CertificationBody(required=False)
    fitness = FitnessBody(required=False)
    cylinder = CylinderBody(required=False)


class NewRecordBody(RecordBody):
    name = serializers.CharField(max_length=120)


class AccountBody(serializers.Serializer[Any]):
    role = serializers.ChoiceField(choices=ROLES)


class AccountChangeBody(serializers.Serializer[Any]):
    role = serializers.ChoiceField(choices=ROLES, required=False)
    new_password = serializers.BooleanField(required=False)

    def validate(self, attrs: Any) -> Any:
        if "role" not in attrs and not attrs.get("new_password"):
            raise serializers.ValidationError({"role": ["Give a role, or ask for a new password."]})
        return dict(attrs)


class ImportBody(serializers.Serializer[Any]):
    columns = serializers.ListField(child=serializers.DictField(), required=False, default=list)
    choices = serializers.DictField(required=False)
    confirm_all = serializers.BooleanField(required=False, default=False)
