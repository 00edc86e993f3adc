"""What `teamdive check` runs: every stage is a command a contributor can run alone; the first failure is named.

The tools and the test packages come from the lock files (`uv.lock`, frontend/*/package-lock.json).
"""

import os
import shutil
import subprocess
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path

from teamdive.config import frontend
from teamdive.config.environment import UnusableEnvironment
from teamdive.config.frontend import CHECKOUT, CHECKS, FRONTEND
from teamdive.config.supervisor import answers

ROLES = "tests/api/test_people_roles.py"
POSTGRES = "postgres://postgres@127.0.0.1:5432/postgres"
FIRST_LOAD_LIMIT_KB = 110
# Of it 24 kB draw and read QR pictures: a file of their own, fetched after everything else and kept for the sea.
WHOLE_APP_LIMIT_KB = 225
_CODE = {".js", ".css", ".html"}


@dataclass(frozen=True)
class Stage:
    """One command of the check, with what it needs in its environment."""

    name: str
    command: list[str]
    folder: Path = CHECKOUT
    environment: dict[str, str] = field(default_factory=dict)


def check(*, long: bool) -> int:
    """Install, run every stage, print a line for each. 0 when all passed."""
    began = time.monotonic()
    _install()
    node = str(frontend.node_folder() / "bin" / "node")
    results = [_run(stage) for stage in _stages(node, long=long)]
    print(f"\n{len(results)} stages in {time.monotonic() - began:.0f} s")
    for name, passed, seconds in results:
        print(f"  {'passed' if passed else 'FAILED'}  {seconds:6.1f} s  {name}")
    return 0 if all(passed for _, passed, _ in results) else 1


def _install() -> None:
    uv = os.environ.get("UV") or shutil.which("uv")
    if uv:
        # --inexact: what `start` needs stays; the check group comes on top.
        command = [uv, "sync", "--frozen", "--inexact", "--group", "check", "--quiet"]
        if subprocess.run(command, cwd=CHECKOUT, check=False).returncode:
            raise UnusableEnvironment("The test packages could not be installed (uv's own message is above).")
    elif not shutil.which("pytest", path=str(Path(sys.executable).parent)):
        raise UnusableEnvironment("The test packages are missing: `pip install --group check -e .` first.")
    print("Front end: install and build", flush=True)
    frontend.build()
    frontend.install(CHECKS)


def _stages(node: str, *, long: bool) -> list[Stage]:
    python = [sys.executable, "-m"]
    manage = [sys.executable, "manage.py"]
    modules = CHECKS / "node_modules"
    compiler = [node, str(FRONTEND / "node_modules" / "typescript" / "bin" / "tsc"), "--noEmit", "-p"]
    tests = [*python, "pytest", "-q", "--durations=8"]
    if long:
        os.environ["TEAMDIVE_LONG"] = "1"
    stages = [
        Stage("ruff: rules", [*python, "ruff", "check", "."]),
        Stage("ruff: format", [*python, "ruff", "format", "--check", "."]),
        Stage("import order of the house", [str(Path(sys.executable).with_name("lint-imports"))]),
        Stage("types of the ground floor", [*python, "mypy"]),
        Stage("migrations complete", [*manage, "makemigrations", "--check", "--dry-run"]),
        Stage("golden vectors current", [*python, "teamdive.cli", "vectors", "--check"]),
        *(
            Stage(f"types of the phone: {path.name}", [*compiler, path.name], FRONTEND)
            for path in sorted(FRONTEND.glob("tsconfig.*.json"))
            if path.name != "tsconfig.base.json"
        ),
        Stage(
            "eslint",
            [
                node,
                str(modules / "eslint" / "bin" / "eslint.js"),
                "-c",
                "checks/eslint.config.js",
                "src",
                "tests",
            ],
            FRONTEND,
        ),
        Stage(
            "import order of the phone",
            [
                node,
                str(modules / "dependency-cruiser" / "bin" / "dependency-cruise.mjs"),
                "--config",
                "checks/dependency-cruiser.cjs",
                "src",
            ],
            FRONTEND,
        ),
        Stage(
            "size of the phone app",
            [
                sys.executable,
                "-c",
                f"from teamdive.config.checking import size; size({FIRST_LOAD_LIMIT_KB}, {WHOLE_APP_LIMIT_KB})",
            ],
        ),
        Stage(
            "phone: unit and parity tests",
            [node, str(modules / "vitest" / "vitest.mjs"), "run", "--config", "../vitest.config.ts"],
            CHECKS,
        ),
        Stage("tests", [*tests, "-n", "2", "-m", "not serial"]),
        # More workers than cores: each mostly waits, for a page or for a killed process to come back.
        Stage("browser and faults", [*tests, "-n", "3", "--dist", "loadgroup", "-m", "serial"]),
    ]
    if answers(("127.0.0.1", 5432)):
        stages.append(
            Stage(
                "rooms again on PostgreSQL",
                # Who may do what is decided before any database is asked: once is enough.
                [*tests, "-n", "2", "-m", "not serial", "tests/services", "tests/api", f"--ignore={ROLES}"],
                environment={"TEAMDIVE_DATABASE_URL": os.environ.get("TEAMDIVE_TEST_DATABASE_URL", POSTGRES)},
            )
        )
    else:
        print("skipped: rooms again on PostgreSQL (no server on 127.0.0.1:5432)")
    return stages


def _run(stage: Stage) -> tuple[str, bool, float]:
    print(f"\n== {stage.name}", flush=True)
    began = time.monotonic()
    environment = os.environ | stage.environment
    # Hundreds of short processes are started: each would compile the whole house again, more than half of its life.
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    status = subprocess.run(stage.command, cwd=stage.folder, env=environment, check=False).returncode
    return stage.name, status == 0, time.monotonic() - began


def size(first_kb: int, whole_kb: int) -> None:
    """Exit with a message when the phone app exceeds a budget, in kB compressed.

    `first_kb`: the page and what it names, all that the deck waits for. `whole_kb`: every page, stored later.
    """
    import gzip

    dist = FRONTEND / "dist"
    files = {
        path: len(gzip.compress(path.read_bytes())) / 1024 for path in dist.rglob("*") if path.suffix in _CODE
    }
    page = (dist / "index.html").read_text() if files else ""
    first = sum(kb for path, kb in files.items() if path.name == "index.html" or path.name in page)
    whole = sum(files.values())
    print(
        f"first load {first:.1f} kB compressed, budget {first_kb}; every page {whole:.1f} kB, budget {whole_kb}"
    )
    if not files or first > first_kb or whole > whole_kb:
        sys.exit("The phone app is over its size budget, or was not built.")
