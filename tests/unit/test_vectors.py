"""The golden vectors guard themselves: a stale file, a file too few and a suite that ran fewer cases all fail."""

import functools
import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from teamdive.config import vectors
from tests.parity import twins

HERE = vectors.FOLDER
MADE = functools.cache(vectors.files)
SUITES = twins.FRONTEND / "tests" / "kernel"


@pytest.fixture
def copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of fixtures/vectors, which both languages read in the place of the real one."""
    folder = tmp_path / "vectors"
    shutil.copytree(HERE, folder)
    monkeypatch.setattr(vectors, "FOLDER", folder)
    monkeypatch.setattr(vectors, "files", MADE)  # made by the kernels, once for all tests here
    monkeypatch.setenv("TEAMDIVE_VECTORS", str(folder))
    return folder


def change_a_byte(folder: Path) -> None:
    text = bytearray((folder / "day.json").read_bytes())
    at = text.index(b'"no_stop_limit_min": 63') + len(b'"no_stop_limit_min": ')
    text[at] = ord("7")
    (folder / "day.json").write_bytes(text)


def take_a_case_away(folder: Path) -> None:
    made = json.loads((folder / "plan.json").read_text())
    made["cases"].pop()
    (folder / "plan.json").write_text(json.dumps(made))


@pytest.mark.parametrize(
    ("harm", "file"),
    [
        (change_a_byte, "day.json"),
        (take_a_case_away, "plan.json"),
        (lambda folder: (folder / "teams.json").unlink(), "teams.json"),
        (lambda folder: (folder / "left_over.json").write_text("{}"), "left_over.json"),
    ],
    ids=["a byte", "a case", "a file", "a file too many"],
)
def test_a_stale_file_fails_the_check_and_is_named(
    copy: Path, harm: Callable[[Path], object], file: str, capsys: pytest.CaptureFixture[str]
) -> None:
    harm(copy)
    assert vectors.check() == 1
    (line,) = capsys.readouterr().out.splitlines()
    assert line.startswith(f"fixtures/vectors/{file} is stale: run `teamdive vectors`")


def test_what_the_kernels_make_passes_the_check(copy: Path) -> None:
    assert vectors.check() == 0


def test_a_phone_that_answers_otherwise_or_ran_fewer_cases_fails(copy: Path) -> None:
    change_a_byte(copy)
    for name in ("physics", "plan", "teams", "boatlog"):
        made = json.loads((copy / f"{name}.json").read_text())
        made["cases"].pop()
        (copy / f"{name}.json").write_text(json.dumps(made))
    run = twins.suites("day", "physics", "plan", "teams", "boatlog")
    assert run.returncode == 1
    failed = [line for line in (run.stdout + run.stderr).splitlines() if " FAIL " in line]
    for name in ("physics", "plan", "teams", "boatlog"):
        assert any(f"{name}.test.ts" in line and "none is left out" in line for line in failed), failed
    assert any("day.test.ts > vectors > day-" in line for line in failed), failed


def test_every_file_has_its_suite_on_the_phone() -> None:
    index = json.loads((HERE / "index.json").read_text())
    for name in index:
        suite = (SUITES / name.replace(".json", ".test.ts")).read_text(encoding="utf-8")
        assert "heldAlike(" in suite or ("index.json" in suite and f'"{name}"' in suite)
