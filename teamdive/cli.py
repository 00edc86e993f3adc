"""The `teamdive` command: start, club, check, the three calculations, vectors, bench, doctor, backup, restore."""

import argparse
import io
import json
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from teamdive.calculations.problem import Problem

ROOMS = ("physics", "pairing", "deck", "sync", "reminders", "phone")


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; returns its exit status (2 for bad input)."""
    options = _parser().parse_args(argv)
    work: Callable[[argparse.Namespace], int] = options.work
    try:
        status = work(options)
        sys.stdout.flush()
    except BrokenPipeError:
        # The reader (`| head`) has seen enough; Python would complain again when it closes the stream.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    return status


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="teamdive", description="Plan, pair, run and record a club's dive trip, offline at sea."
    )
    commands = parser.add_subparsers(required=True, metavar="command")

    def command(
        name: str, summary: str, work: Callable[[argparse.Namespace], int]
    ) -> argparse.ArgumentParser:
        added = commands.add_parser(name, help=summary, description=summary)
        added.set_defaults(work=work)
        return added

    start = command("start", "install and start everything, with an invented demo club", _start)
    start.add_argument("--no-demo", action="store_true", help="start with an empty club book")
    club = command("club", "make a club of your own and its organiser's sign-in", _club)
    club.add_argument("name", help="the club's name")
    club.add_argument("--organiser", required=True, metavar="E-MAIL", help="who organises it")
    club.add_argument("--time-zone", metavar="ZONE", help="such as Atlantic/Azores (default: this machine's)")
    club.add_argument("--new-password", action="store_true", help="make a new one for who lost theirs")
    check = command("check", "install and pass the tests", _check)
    check.add_argument("--long", action="store_true", help="the larger counts of the randomised tests")
    for name, summary in (
        ("day", "a diver's day: groups, limits, no-fly time"),
        ("plan", "a team's dive: every limit, whose it is, gas"),
        ("teams", "who dives with whom, and why"),
    ):
        calculation = command(name, summary, _calculate)
        calculation.add_argument("file", help="a JSON file, or - for standard input")
        calculation.set_defaults(name=name)
    vectors = command(
        "vectors", "write fixtures/vectors, the cases both languages must answer alike", _vectors
    )
    vectors.add_argument("--check", action="store_true", help="compare instead of writing")
    bench = command("bench", "run one room's benchmark, one JSON object a line", _bench)
    bench.add_argument("room", choices=ROOMS)
    bench.add_argument("--quick", action="store_true", help="small sizes, within 50 seconds")
    command("doctor", "say what is misconfigured and how to mend it", _doctor)
    backup = command("backup", "write a verified copy of the database", _backup)
    backup.add_argument("file", nargs="?", help="where to (default: a new file in the data folder's backups)")
    restore = command(
        "restore", "put a backup in place; phones then hand in again what came after it", _restore
    )
    restore.add_argument("file", help="a file that `teamdive backup` wrote")
    return parser


def _start(options: argparse.Namespace) -> int:
    from teamdive.config import installation

    return installation.explain(lambda: installation.start(demo=not options.no_demo))


def _club(options: argparse.Namespace) -> int:
    from teamdive.config import installation

    return installation.explain(
        lambda: installation.club(
            name=options.name,
            organiser=options.organiser,
            time_zone=options.time_zone,
            new_password=options.new_password,
        )
    )


def _check(options: argparse.Namespace) -> int:
    from teamdive.config import checking, installation

    return installation.explain(lambda: checking.check(long=options.long))


def _calculate(options: argparse.Namespace) -> int:
    from teamdive.calculations.body import parse_json
    from teamdive.calculations.day import day
    from teamdive.calculations.plan import plan
    from teamdive.scale.teams import teams

    calculations: dict[str, Callable[[Any], dict[str, Any]]] = {"day": day, "plan": plan, "teams": teams}
    # JSON is UTF-8 (RFC 8259, 8.1), whatever the terminal's own encoding.
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8")
    try:
        answer = calculations[options.name](parse_json(_read(options.file)))
    except Problem as problem:
        print(json.dumps(problem.as_json(), indent=1, ensure_ascii=False), file=sys.stderr)
        return 2
    print(json.dumps(answer, indent=1, ensure_ascii=False, allow_nan=False))
    return 0


def _read(name: str) -> bytes:
    try:
        return sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
    except OSError as error:
        raise Problem.single(
            "",
            "unreadable_file",
            f"{name} cannot be read ({error.strerror}). Give a JSON file, or - for standard input.",
        ) from error


def _vectors(options: argparse.Namespace) -> int:
    from teamdive.config import vectors

    return vectors.check() if options.check else vectors.write()


def _bench(options: argparse.Namespace) -> int:
    from teamdive.config import bench

    return bench.run(options.room, quick=options.quick)


def _doctor(_options: argparse.Namespace) -> int:
    from teamdive.config import doctor, installation

    return installation.explain(doctor.examine)


def _backup(options: argparse.Namespace) -> int:
    from teamdive.config import backup, installation

    return installation.explain(lambda: backup.make(options.file))


def _restore(options: argparse.Namespace) -> int:
    from teamdive.config import backup, installation

    return installation.explain(lambda: backup.restore(options.file))


if __name__ == "__main__":
    sys.exit(main())
