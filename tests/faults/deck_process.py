"""Inside an installation of its own: makes the trip of the scene once, enrols phones, prints id and token of each."""

import json
import sys

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.utils import timezone  # noqa: E402

from teamdive.deck import services  # noqa: E402
from teamdive.trips.models import Trip  # noqa: E402
from tests.services.deck_cast import at_sea  # noqa: E402


def main(phones: int) -> None:
    call_command("migrate", verbosity=0)
    trip = Trip.objects.first() or at_sea().trip
    made = [
        services.enrol(trip=trip, label=f"Phone {number}", public_key="", by=None, now=timezone.now())
        for number in range(phones)
    ]
    print(json.dumps([[str(device.pk), token] for device, token in made]))


if __name__ == "__main__":
    main(int(sys.argv[1]))
