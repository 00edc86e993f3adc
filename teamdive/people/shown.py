"""What of clubs and people goes on the wire, as far as the reader may see it."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import UUID

from . import selectors
from .doors import depth_shown
from .models import Diver, Membership
from .rules import fitness_shown


def club_shown(membership: Membership, own: dict[UUID, UUID]) -> dict[str, Any]:
    club = membership.club
    return {
        "id": club.pk,
        "name": club.name,
        "role": membership.role,
        "diver": own.get(club.pk),
        "time_zone": club.time_zone,
        "units": {"depth": club.depth_unit, "pressure": club.pressure_unit, "volume": club.volume_unit},
        "settings": {
            "overdue_after_min": club.overdue_after_min,
            "counts_needed": club.counts_needed,
            "quiet_min": club.quiet_min,
            "due_soon_min": club.due_soon_min,
            "lost_diver": club.lost_diver,
            "rescue_contact": club.rescue_contact,
            "radio_channel": club.radio_channel,
            "call_sign": club.call_sign,
            "oxygen_l": club.oxygen_l,
            "shore_call_every_min": club.shore_call_every_min,
            "shore_calls_before_next": club.shore_calls_before_next,
            "method": club.method,
            "gf": [club.gf_low_pm / 1000, club.gf_high_pm / 1000],
            "gf_low_pm": club.gf_low_pm,
            "gf_high_pm": club.gf_high_pm,
            "least_surface_interval_min": club.least_surface_interval_min,
            "no_fly_wait_min": club.no_fly_wait_min,
            "club_wait_beyond_limit_min": club.club_wait_beyond_limit_min,
            "club_wait_other_gas_min": club.club_wait_other_gas_min,
            "rest_after_beyond_limit_min": club.rest_after_beyond_limit_min,
            "no_fly_to_altitude_ft": club.no_fly_to_altitude_ft,
            "beyond_40_m_enabled": club.beyond_40_m_enabled,
            "policy": club.policy,
            "gas": club.gas,
        },
        "may": selectors.may_of(membership.role),
    }


def diver_line(diver: Diver, on: date) -> dict[str, Any]:
    certification = selectors.deepest_certification(diver)
    return {
        "id": diver.pk,
        "name": diver.name,
        "member_number": diver.member_number,
        "certified_depth": depth_shown(certification.depth_hundredths, certification.depth_unit)
        if certification
        else None,
        "certification": certification.name if certification else None,
        "certified_until": certification.until if certification else None,
        "evidence": certification.evidence if certification else None,
        "fitness": fitness_shown(selectors.fitness_of(diver, on)),
        "can_lead": diver.can_lead,
        "supervised": diver.supervised,
        "dives": diver.stated_dives,
        "last_dive": diver.stated_last_dive,
        "account": diver.user_id is not None,
    }


def diver_record(diver: Diver, for_leaders: bool, on: date) -> dict[str, Any]:
    return {
        **diver_line(diver, on),
        "club": diver.club_id,
        "email": diver.email,
        "phone": diver.phone,
        "born": diver.born,
        "emergency_contact": diver.emergency_contact,
        "guardian_consent": diver.guardian_consent,
        "guardians": [{"id": one.pk, "name": one.name} for one in diver.guardians.all()],
        **({"notes": diver.notes, "role": selectors.role_of_diver(diver)} if for_leaders else {}),
        "units": {"depth": diver.depth_unit, "pressure": diver.pressure_unit, "volume": diver.volume_unit},
        "rmv_l_min": diver.rmv_l_min,
        "rmv_sd_l_min": diver.rmv_sd_l_min,
        "certifications": [
            {
                "id": c.pk,
                "name": c.name,
                "organisation": c.organisation,
                "depth": depth_shown(c.depth_hundredths, c.depth_unit),
                "on": c.on,
                "until": c.until,
                "evidence": c.evidence,
            }
            for c in diver.certifications.all()
        ],
        "cylinders": [
            {
                "id": c.pk,
                "label": c.label,
                "volume": c.volume,
                "volume_unit": c.volume_unit,
                "working_pressure": c.working_pressure,
                "pressure_unit": c.pressure_unit,
                "redundant": c.redundant,
            }
            for c in diver.cylinders.all()
        ],
        "stated": {
            "dives": diver.stated_dives,
            "dives_last_year": diver.stated_dives_last_year,
            "last_dive": diver.stated_last_dive,
            "deepest": depth_shown(diver.stated_deepest_hundredths, diver.stated_deepest_unit),
        },
    }
