"""The quick yes of the schemas is never said to what jsonschema, a general validator, refuses; and it is said."""

from random import Random
from typing import Any

import jsonschema
import pytest

from teamdive.boatlog import schema
from teamdive.boatlog.entries import body
from teamdive.boatlog.schema_quick import fits
from tests.boat_histories import history, snapshot_body

WRONG: tuple[Any, ...] = (None, True, 1.5, 2**60, -1, "", "x" * 200, [], {}, ["a", "a"], {"a": 1})


def spoiled(rng: Random, value: Any) -> Any:
    """The value with one place in it taken out, doubled, or put wrong."""
    if isinstance(value, dict) and value and rng.random() < 0.85:
        name = rng.choice(sorted(value))
        if rng.random() < 0.15:
            return {key: item for key, item in value.items() if key != name}
        return {**value, name: spoiled(rng, value[name])}
    if isinstance(value, list) and value and rng.random() < 0.85:
        place = rng.randrange(len(value))
        if rng.random() < 0.2:
            return [*value, value[place]]
        return [*value[:place], spoiled(rng, value[place]), *value[place + 1 :]]
    return rng.choice(WRONG)


@pytest.mark.parametrize("seed", range(12))
def test_yes_is_only_said_to_what_fits(seed: int) -> None:
    rng = Random(seed)
    entries = [body(entry) for entry in history(rng, most=25)]
    for root, whole in [(schema.ENTRY, each) for each in entries] + [(schema.SNAPSHOT, snapshot_body(rng))]:
        judge, quick = jsonschema.Draft202012Validator(root), fits(root, root)
        for value in (whole, *(spoiled(rng, whole) for _ in range(12))):
            # The schema of all entries has branches by kind, which the quick yes does not look at: `data` is apart.
            shape = {key: item for key, item in root.items() if key != "allOf"}
            assert not quick(value) or jsonschema.Draft202012Validator(shape).is_valid(value)
            assert bool(schema.problems(root, value, root)) or jsonschema.Draft202012Validator(
                shape
            ).is_valid(value)
        assert quick(whole) or not judge.is_valid(whole)
    for entry in entries:
        definition = schema.ENTRY["$defs"].get(entry["kind"])
        if definition is None:
            continue
        judge = jsonschema.Draft202012Validator({**definition, "$defs": schema.ENTRY["$defs"]})
        for value in (entry["data"], *(spoiled(rng, entry["data"]) for _ in range(12))):
            quick_yes = fits(definition, schema.ENTRY)(value)
            assert not quick_yes or judge.is_valid(value)
            assert (schema.problems(definition, value, schema.ENTRY) == []) == judge.is_valid(value)
