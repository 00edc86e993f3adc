"""A club's policy is read by the calculation's own reader before it is kept."""

from __future__ import annotations

import pytest

from teamdive.people import services

pytestmark = pytest.mark.django_db


def test_what_pairing_would_refuse_is_not_kept():
    club = services.add_club(name="Varrow Bay divers")
    services.change_club(club=club, policy={"threes": "never", "first_exposure_min": 12})
    for policy, pointer in (
        ({"threes": "sometimes"}, "/policy/threes"),
        ({"stretches_allowed": -1}, "/policy/stretches_allowed"),
        ({"freshness_months": [12, 6, 24]}, "/policy/freshness_months"),
        ({"no_such_rule": True}, "/policy/no_such_rule"),
    ):
        with pytest.raises(services.UnableToChangeClub) as refused:
            services.change_club(club=club, policy=policy)
        assert [error["pointer"] for error in refused.value.errors] == [pointer]
    club.refresh_from_db()
    assert club.policy == {"threes": "never", "first_exposure_min": 12}
