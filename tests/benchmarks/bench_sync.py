"""How fast the server takes in and gives out boat-log entries, against a bare Django insert of the same rows.

One process and one connection, so a rate is that of one core (and of the database beside it).
"""

from collections.abc import Iterator

from tests.benchmarks.own_database import on_both


def run(quick: bool) -> Iterator[dict[str, object]]:
    """Rows of `teamdive bench sync`; `quick`: 1,000 entries, else 20,000."""
    yield from on_both("sync_inside", 1_000 if quick else 20_000, "entries stored")
