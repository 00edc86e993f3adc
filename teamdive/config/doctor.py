"""`teamdive doctor`: looks at this installation and says what is wrong and what mends it."""

import os
import socket
from collections.abc import Callable
from pathlib import Path

from teamdive.config import environment, frontend
from teamdive.config.environment import UnusableEnvironment


def examine() -> int:
    """Print a line for each thing looked at; 1 when one is wrong."""
    looks: list[tuple[str, Callable[[], str]]] = [
        ("data folder", _data_folder),
        ("Node for the phone app", lambda: str(frontend.node_folder())),
        ("phone app built", _built),
        ("queue", _queue),
        ("database", _database),
        ("settings", _settings),
        ("mail to those ashore", _mail),
    ]
    wrong = 0
    for name, look in looks:
        try:
            print(f"  good   {name}: {look()}")
        except Exception as error:  # a doctor reports every failure and goes on to the next look
            wrong += 1
            print(f"  WRONG  {name}: {error}")
    return 1 if wrong else 0


def _data_folder() -> str:
    folder = environment.data_folder()
    mode = folder.stat().st_mode & 0o077
    if mode:
        raise UnusableEnvironment(f"others can look into {folder}. Run: chmod 700 {folder}")
    return str(folder)


def _built() -> str:
    index = frontend.FRONTEND / "dist" / "index.html"
    if not index.exists():
        raise UnusableEnvironment("not built yet. Run: teamdive start")
    return str(index.parent)


def _queue() -> str:
    url = os.environ.get("TEAMDIVE_REDIS_URL")
    if not url:
        return "embedded, in the data folder"
    import redis

    redis.Redis.from_url(url, socket_timeout=3).ping()
    return f"Redis answers at {url.rsplit('@', 1)[-1]}"


def _database() -> str:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "teamdive.config.settings")
    import django

    django.setup()
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    if waiting := executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise UnusableEnvironment(f"{len(waiting)} migrations wait. Run: teamdive start")
    return f"{connection.vendor}, migrations applied"


def _mail() -> str:
    """Signs in as a call would, and sends nothing."""
    server = environment.mail()
    if server is None:
        return "none: an alarm ashore wakes nobody by mail (TEAMDIVE_MAIL_URL)"
    from django.core.mail import get_connection

    connection = get_connection()
    connection.open()
    connection.close()
    return f"{server.host}:{server.port} answers"


def _settings() -> str:
    from django.core.checks import run_checks

    problems = [str(message) for message in run_checks() if message.is_serious()]
    if problems:
        raise UnusableEnvironment("; ".join(problems))
    host = os.environ.get("TEAMDIVE_HOST") or "localhost"
    socket.getaddrinfo(host, None)
    if not Path(environment.data_folder() / "secret_key").exists() and not os.environ.get(
        "TEAMDIVE_SECRET_KEY"
    ):
        return "a secret key will be made at the first start"
    return "consistent"
