"""The demo trip, loaded through the real services once a file: each test works on a savepoint within."""

from __future__ import annotations

import pytest
from django.db import transaction

from teamdive.trips.demo import load_demo

from .people_fixtures import NOW

PASSWORDS = {"organiser": "tern-and-tide-1", "leader": "tern-and-tide-2", "diver": "tern-and-tide-3"}


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), transaction.atomic():
        yield load_demo(now=NOW, passwords=PASSWORDS)
        transaction.set_rollback(True)
