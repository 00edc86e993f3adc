"""How fast reminders are claimed and delivered, against bare Django writes of the same rows in the same run."""

from collections.abc import Iterator

from tests.benchmarks.own_database import on_both


def run(quick: bool) -> Iterator[dict[str, object]]:
    """Rows of `teamdive bench reminders`; `quick`: 500 reminders, else 20,000."""
    yield from on_both("reminders_inside", 500 if quick else 20_000, "reminders claimed")
