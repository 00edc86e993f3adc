"""What `teamdive start` does before the processes run: each step says what it does and how long it took."""

import json
import os
import socket
import sqlite3
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from teamdive.config import environment, frontend, supervisor
from teamdive.config.environment import UnusableEnvironment

DEMO_ROLES = ("organiser", "leader", "diver")
CAUTION = (
    "teamdive advises, people decide: it does not replace training, makers' manuals, local rules or "
    "licensed practice, and a watch stays the second timer."
)


def start(*, demo: bool = True) -> int:
    """Install, migrate, load the demo club, serve. Returns when asked to stop."""
    host = os.environ.get("TEAMDIVE_HOST") or "localhost"
    port = _port()
    began = time.monotonic()
    _refuse_taken_port(host, port)
    data = environment.data_folder()
    with _step("Phone app: install and build what changed"):
        frontend.build()
    _set_up()
    with _step("Database: make or migrate"):
        _migrate(data)
    sign_ins: list[Any] = []
    passwords: dict[str, str] = {}
    if demo:
        with _step("Demo club: load"):
            sign_ins, passwords = _load_demo(data)
    children = supervisor.commands(
        host=host, port=port, data=data, scale=bool(os.environ.get("TEAMDIVE_REDIS_URL"))
    )

    def greet() -> None:
        print(f"Ready in {time.monotonic() - began:.1f} s. Data is kept in {data}\n")
        print(f"  Open  http://{host}:{port}/\n")
        if not demo and not _any_club():
            print(
                '  No club yet. In another terminal: uv run teamdive club "Name" --organiser you@example.org'
            )
        for account in sign_ins:
            print(f"  {account.role:<10} {account.email:<36} {account.password or passwords[account.role]}")
        print(f"\n{CAUTION}\nCtrl-C stops everything.", flush=True)

    # Whoever opens the address as soon as it is printed must not be told that nobody is there.
    return supervisor.run(children, environment=dict(os.environ), address=(host, port), answering=greet)


def club(*, name: str, organiser: str, time_zone: str | None, new_password: bool) -> int:
    """A club of one's own and the way into it: prints the organiser's password, once. 2 for what cannot be."""
    data = environment.data_folder()
    _set_up()
    _migrate(data)
    from django.utils import timezone

    from teamdive.people.services_accounts import start_club
    from teamdive.web.problems import Unable

    try:
        account, made = start_club(
            name=name,
            organiser=organiser,
            now=timezone.now(),
            time_zone=time_zone or _local_zone(),
            new_password=new_password,
        )
    except Unable as refused:
        print(f"teamdive: {refused}", file=sys.stderr)
        return 2
    print(f"{name.strip()}: {'made' if made else 'is there already, its settings are as they were'}.")
    print(f"  organiser  {account.user.email}")
    if account.password is None:
        print("  password   unchanged: it is the one they have (--new-password makes another)")
    else:
        print(f"  password   {account.password}   shown this once; change it under Me, Password")
    return 0


def _set_up() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "teamdive.config.settings")
    import django

    django.setup()


def _any_club() -> bool:
    from teamdive.people.models import Club

    return Club.objects.exists()


def _local_zone() -> str:
    """The zone of this machine by its name, such as Atlantic/Azores; UTC where it has none."""
    from zoneinfo import available_timezones

    named = os.environ.get("TZ", "").lstrip(":") or str(Path("/etc/localtime").resolve())
    return max((zone for zone in available_timezones() if named.endswith(zone)), key=len, default="UTC")


def _port() -> int:
    text = os.environ.get("TEAMDIVE_PORT") or "8000"
    if not (text.isdigit() and 0 < int(text) < 65536):
        raise UnusableEnvironment(f"TEAMDIVE_PORT is {text!r}: give a number from 1 to 65535.")
    return int(text)


def _refuse_taken_port(host: str, port: int) -> None:
    family, kind, protocol, _, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    with socket.socket(family, kind, protocol) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(address)
        except OSError as error:
            raise UnusableEnvironment(
                f"Port {port} on {host} cannot be used ({error.strerror}). Stop what holds it, "
                f"or choose another: TEAMDIVE_PORT={port + 1} uv run teamdive start"
            ) from error


def bring_up_to_date(data: Path) -> None:
    """Set Django up and migrate the database."""
    _set_up()
    _migrate(data)


def _migrate(data: Path) -> None:
    from django.core.management import call_command
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    waiting = executor.migration_plan(executor.loader.graph.leaf_nodes())
    if waiting and executor.loader.applied_migrations and connection.vendor == "sqlite":
        _back_up(Path(connection.settings_dict["NAME"]), data / "backups")
    call_command("migrate", verbosity=0, interactive=False)


def _back_up(database: Path, folder: Path) -> None:
    """A verified copy before a migration touches the data; raises UnusableEnvironment where it is not whole."""
    folder.mkdir(mode=0o700, exist_ok=True)
    target = folder / f"before-migration-{time.strftime('%Y%m%dT%H%M%S')}.sqlite3"
    with sqlite3.connect(database) as source, sqlite3.connect(target) as copy:
        source.backup(copy)
        verdict = copy.execute("PRAGMA integrity_check").fetchone()[0]
    if verdict != "ok":
        raise UnusableEnvironment(f"The backup {target} is not whole ({verdict}). Nothing was migrated.")
    target.chmod(0o600)


def _load_demo(data: Path) -> tuple[list[Any], dict[str, str]]:
    """The demo's sign-ins and passwords, which are made once and kept in the data folder, mode 0600."""
    import secrets

    from django.utils import timezone

    from teamdive.trips.demo import load_demo

    kept = data / "demo_sign_ins.json"
    passwords = json.loads(kept.read_text()) if kept.exists() else {}
    for role in DEMO_ROLES:
        passwords.setdefault(role, f"{secrets.token_hex(3)}-{secrets.token_hex(3)}")
    handle = os.open(kept, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w") as file:
        json.dump(passwords, file)
    return load_demo(now=timezone.now(), passwords=passwords), passwords


@contextmanager
def _step(title: str) -> Iterator[None]:
    print(f"{title} ...", flush=True)
    began = time.monotonic()
    yield
    print(f"{title}: done, {time.monotonic() - began:.1f} s", flush=True)


def explain(work: Callable[[], int]) -> int:
    """Run `work`; what the environment cannot do is a sentence with its remedy, never a traceback."""
    try:
        return work()
    except UnusableEnvironment as error:
        print(f"teamdive: {error}", file=sys.stderr)
    except OSError as error:
        if error.errno not in {13, 28, 30}:
            raise
        where = f" {error.filename}" if error.filename else ""
        print(
            f"teamdive: cannot write{where} ({error.strerror}). Free the disk, or work from a copy on a disk "
            "that can be written and set TEAMDIVE_DATA to a folder there.",
            file=sys.stderr,
        )
    return 1
