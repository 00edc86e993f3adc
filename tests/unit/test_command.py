"""The command line: the three calculations from a file or standard input, and how bad input is refused."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).resolve().parents[2]
DEMO = CHECKOUT / "fixtures" / "demo"


def _run(*arguments: str, stdin: str | None = None) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "teamdive.cli", *arguments],
        input=stdin,
        capture_output=True,
        text=True,
        cwd=CHECKOUT,
        check=False,
    )


@pytest.mark.parametrize("name", ["day", "plan", "teams"])
def test_a_calculation_reads_a_file_or_standard_input_alike(name: str) -> None:
    path = DEMO / f"{name}.json"
    from_file = _run(name, str(path))
    from_stdin = _run(name, "-", stdin=path.read_text())
    assert from_file.returncode == from_stdin.returncode == 0
    assert from_file.stdout == from_stdin.stdout
    assert {"sources", "warnings"} <= set(json.loads(from_file.stdout))


@pytest.mark.parametrize(
    ("name", "body", "pointer"),
    [
        ("day", '{"depth_unit": "m", "dives": [{"depth": -1, "bottom_time_min": 10}]}', "/dives/0/depth"),
        ("day", '{"depth_unit": "m", "dives": [{"depth": NaN, "bottom_time_min": 10}]}', None),
        ("day", '{"depth_unit": "m", "depth_unit": "ft", "dives": []}', None),
        (
            "day",
            '{"depth_unit": "m", "dives": [{"depth": 18, "bottom_time_min": 10, "deepth": 3}]}',
            "/dives/0/deepth",
        ),
        ("plan", "[]", None),
        ("teams", "{", None),
    ],
)
def test_bad_input_ends_with_status_2_and_a_problem_on_standard_error(
    name: str, body: str, pointer: str | None
) -> None:
    done = _run(name, "-", stdin=body)
    problem = json.loads(done.stderr)
    assert (done.returncode, done.stdout) == (2, "")
    assert problem["status"] == 400
    assert problem["errors"] and all(
        set(error) >= {"pointer", "code", "message"} for error in problem["errors"]
    )
    if pointer is not None:
        assert pointer in {error["pointer"] for error in problem["errors"]}


def test_any_text_that_is_unicode_comes_back_whatever_the_terminal() -> None:
    body = json.loads((DEMO / "plan.json").read_text())
    name = body["divers"][0]["id"]
    body = json.loads(json.dumps(body).replace(f'"{name}"', '"\\u00c9v\\ud83e\\udd3f"'))
    for encoding in ("utf-8", "ascii", "cp1252"):
        done = subprocess.run(
            [sys.executable, "-m", "teamdive.cli", "plan", "-"],
            input=json.dumps(body).encode(),
            env={**os.environ, "PYTHONIOENCODING": encoding},
            capture_output=True,
            cwd=CHECKOUT,
            check=False,
        )
        assert (done.returncode, done.stderr) == (0, b"")
        assert json.loads(done.stdout.decode())["divers"][0]["id"] == "\u00c9v\U0001f93f"


def test_half_a_character_is_bad_input() -> None:
    done = _run("plan", "-", stdin=r'{"divers": [{"id": "\ud800"}]}')
    assert (done.returncode, done.stdout) == (2, "")
    assert json.loads(done.stderr)["errors"][0]["pointer"] == "/divers/0/id"


def test_a_file_that_is_not_there_is_named() -> None:
    done = _run("day", "no-such-file.json")
    assert done.returncode == 2
    assert "no-such-file.json" in json.loads(done.stderr)["detail"] + str(json.loads(done.stderr)["errors"])


def test_vectors_on_disk_are_what_the_kernels_answer() -> None:
    index = json.loads((CHECKOUT / "fixtures" / "vectors" / "index.json").read_text())
    for name, number in index.items():
        cases = json.loads((CHECKOUT / "fixtures" / "vectors" / name).read_text())["cases"]
        assert len(cases) == number > 0


def test_a_club_of_ones_own_is_made_once_and_its_password_printed_once(tmp_path: Path) -> None:
    folder = {
        "TEAMDIVE_DATA": str(tmp_path),
        "TEAMDIVE_DATABASE_URL": "",
        "TEAMDIVE_REDIS_URL": "",
        "DJANGO_SETTINGS_MODULE": "teamdive.config.settings",
    }

    def club(*arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "teamdive.cli", "club", *arguments],
            capture_output=True,
            text=True,
            cwd=CHECKOUT,
            env={**os.environ, **folder},
            check=False,
        )

    asked = ("Grey Water divers", "--organiser", "ada@grey.example")
    made = club(*asked)
    assert made.returncode == 0, made.stderr
    assert "Grey Water divers: made." in made.stdout and "ada@grey.example" in made.stdout
    (password,) = re.findall(r"password +([a-z2-9]{4}-[a-z2-9]{4}-[a-z2-9]{4})", made.stdout)
    again = club(*asked)
    assert again.returncode == 0 and "is there already" in again.stdout and "unchanged" in again.stdout
    assert not re.search(r"[a-z2-9]{4}-[a-z2-9]{4}-[a-z2-9]{4}", again.stdout)
    lost = club(*asked, "--new-password")
    assert re.search(r"[a-z2-9]{4}-[a-z2-9]{4}-[a-z2-9]{4}", lost.stdout) and password not in lost.stdout
    refused = club("Other divers", "--organiser", "ada at grey")
    assert refused.returncode == 2 and not refused.stdout, refused
    assert "is no e-mail address" in refused.stderr and "Traceback" not in refused.stderr
