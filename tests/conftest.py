"""What every test shares: which services are there, and what is required of this machine.

`TEAMDIVE_REQUIRE=postgres,redis,chromium` turns a missing service into a failure; elsewhere its tests are
skipped by name.
"""

import os
import shutil
import socket
from pathlib import Path

import pytest

REQUIRED = {name for name in os.environ.get("TEAMDIVE_REQUIRE", "").split(",") if name}
SERVICES = ("postgres", "redis", "chromium")


def _answers(port: int) -> bool:
    try:
        with socket.create_connection(("127.0.0.1", port), timeout=1):
            return True
    except OSError:
        return False


def _present(service: str) -> bool:
    if service == "chromium":
        return shutil.which("chromium") is not None or Path("/usr/bin/chromium").exists()
    return _answers({"postgres": 5432, "redis": 6379}[service])


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip by name what needs a service that is not there, unless it is required.

    Each browser test that is `serial` is a group of its own, as its browser and server are; faults go file by file.
    """
    for item in items:
        if item.get_closest_marker("serial"):
            group = item.nodeid if item.get_closest_marker("chromium") else item.path.name
            item.add_marker(pytest.mark.xdist_group(group))
    for service in SERVICES:
        needing = [item for item in items if item.get_closest_marker(service)]
        if not needing or _present(service):
            continue
        if service in REQUIRED:
            raise pytest.UsageError(f"{service} is required here (TEAMDIVE_REQUIRE) but does not answer.")
        for item in needing:
            item.add_marker(pytest.mark.skip(reason=f"{service} is not running here"))
