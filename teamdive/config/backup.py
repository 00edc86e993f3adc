"""`teamdive backup` and `teamdive restore`: a verified copy of the database, and the way back to it.

After a restore every boat log has a new epoch: phones then offer their whole set again, so that what was written
after the copy comes back from them.
"""

import os
import shutil
import sqlite3
import subprocess
import time
from pathlib import Path
from typing import Any
from uuid import uuid4

from django.utils import timezone

from teamdive.config import environment, installation
from teamdive.config.environment import UnusableEnvironment


def make(target: str | None) -> int:
    """Write a verified copy of the database, mode 0600; prints where it is."""
    data = environment.data_folder()
    settings = environment.database(data)
    scale = settings["ENGINE"].endswith("postgresql")
    file = Path(target) if target else _new(data, "backup", "dump" if scale else "sqlite3")
    if file.exists():
        raise UnusableEnvironment(f"{file} is there already. Give another name: no backup is overwritten.")
    file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    os.close(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    try:
        if scale:
            _run(settings, "pg_dump", "--format=custom", f"--file={file}")
        else:
            _copy(Path(settings["NAME"]), file)
        _verify(file, settings, scale=scale)
    except BaseException:
        file.unlink()
        raise
    print(f"Backup, verified: {file}")
    return 0


def restore(source: str) -> int:
    """Put a backup in the database's place; what was there is kept as a backup of its own."""
    data = environment.data_folder()
    settings = environment.database(data)
    scale = settings["ENGINE"].endswith("postgresql")
    file = Path(source)
    if not file.is_file():
        raise UnusableEnvironment(f"There is no backup {file}. `teamdive backup` says where it writes them.")
    _verify(file, settings, scale=scale)
    kept = _new(data, "before-restore", "dump" if scale else "sqlite3")
    if scale or Path(settings["NAME"]).exists():
        make(str(kept))
    if scale:
        whole = ("--clean", "--if-exists", "--no-owner", "--single-transaction")
        _run(settings, "pg_restore", *whole, f"--dbname={settings['NAME']}", str(file))
    else:
        # Into the same file page by page: a process that has it open reads the restored one next.
        _copy(file, Path(settings["NAME"]))
    installation.bring_up_to_date(data)
    from teamdive.deck.services import renew_epochs
    from teamdive.reminders.services_shore import after_restore

    logs = renew_epochs(epoch=uuid4())
    ashore = after_restore(now=timezone.now())
    print(f"Restored {file}. What was there before: {kept}")
    print(
        f"{logs} boat logs start a new epoch: each phone offers all that it holds when it next has a network."
    )
    for sentence in ashore:
        print(sentence)
    return 0


def _new(data: Path, name: str, ending: str) -> Path:
    return data / "backups" / f"{name}-{time.strftime('%Y%m%dT%H%M%SZ', time.gmtime())}.{ending}"


def _copy(source: Path, target: Path) -> None:
    if not source.exists():
        raise UnusableEnvironment(f"There is no database {source} yet. Run: teamdive start")
    taken, copy = sqlite3.connect(source, timeout=20), sqlite3.connect(target, timeout=20)
    try:
        taken.backup(copy)
    except sqlite3.DatabaseError as error:
        raise UnusableEnvironment(f"{source} cannot be copied ({error}).") from error
    finally:
        taken.close()
        copy.close()


def _verify(file: Path, settings: dict[str, Any], *, scale: bool) -> None:
    if scale:
        if "TABLE DATA public deck_entry" not in _run(settings, "pg_restore", "--list", str(file)):
            raise UnusableEnvironment(f"{file} holds no boat log: it is no backup of teamdive.")
        return
    opened = sqlite3.connect(f"file:{file}?mode=ro", uri=True)
    try:
        verdict = opened.execute("PRAGMA integrity_check").fetchone()[0]
        opened.execute("SELECT count(*) FROM deck_entry").fetchone()
    except sqlite3.DatabaseError as error:
        raise UnusableEnvironment(f"{file} is no backup of teamdive ({error}).") from error
    finally:
        opened.close()
    if verdict != "ok":
        raise UnusableEnvironment(f"{file} is not whole ({verdict}).")


def _run(settings: dict[str, Any], program: str, *arguments: str) -> str:
    # Debian keeps them apart by version; the newest reads what older ones wrote.
    newest = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{program}"))
    found = str(newest[-1]) if newest else shutil.which(program)
    if found is None:
        raise UnusableEnvironment(f"{program} is not installed: it comes with PostgreSQL's client programs.")
    # By the environment: a password on the command line could be read by everyone on the machine.
    named = {
        "HOST": "PGHOST",
        "PORT": "PGPORT",
        "USER": "PGUSER",
        "PASSWORD": "PGPASSWORD",
        "NAME": "PGDATABASE",
    }
    given = {variable: settings[name] for name, variable in named.items() if settings[name]}
    done = subprocess.run(
        [found, *arguments], env=os.environ | given, capture_output=True, text=True, check=False
    )
    if done.returncode:
        last = (done.stderr.strip().splitlines() or ["no message"])[-1]
        raise UnusableEnvironment(f"{program} failed: {last}")
    return done.stdout
