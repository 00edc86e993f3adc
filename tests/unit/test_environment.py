"""The installation's own folder, as three processes that start at the same moment find it."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from teamdive.config import environment


def test_who_starts_at_the_same_moment_finds_the_folder_usable(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TEAMDIVE_DATA", str(tmp_path / "new"))
    with ThreadPoolExecutor(8) as starting:
        found = set(starting.map(lambda _: environment.data_folder(), range(400)))
    assert found == {tmp_path / "new"}
    assert list((tmp_path / "new").iterdir()) == [], "nothing is left behind by the look"
