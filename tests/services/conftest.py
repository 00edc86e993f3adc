"""What several files of tests start from: the demo trip, a boat that somebody ashore waits for."""

from __future__ import annotations

import pytest
from django.db import transaction

from teamdive.trips.demo import load_demo
from tests.shore_cast import Shore, waiting

from .people_fixtures import NOW

PASSWORDS = {"organiser": "tern-and-tide-1", "leader": "tern-and-tide-2", "diver": "tern-and-tide-3"}


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    """Loaded through the real services once a file: each test works on a savepoint within."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield load_demo(now=NOW, passwords=PASSWORDS)
        transaction.set_rollback(True)


@pytest.fixture
def shore(db: None, settings: object) -> Shore:
    settings.MAIL_SET_UP = True
    return waiting()
