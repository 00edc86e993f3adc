"""Golden vectors: each `tests/parity/vectors_<kernel>.py` makes the cases of one file of fixtures/vectors/.

`index.json` names every file with its number of cases, so that a suite that ran fewer fails.
"""

import importlib
import json
import sys
from typing import Any

from teamdive.config.frontend import CHECKOUT

FOLDER = CHECKOUT / "fixtures" / "vectors"
MAKERS = CHECKOUT / "tests" / "parity"


def files() -> dict[str, str]:
    """File name -> content, made anew from the Python kernels."""
    sys.path.insert(0, str(CHECKOUT))
    made: dict[str, str] = {}
    index: dict[str, Any] = {}
    for path in sorted(MAKERS.glob("vectors_*.py")):
        kernel = path.stem.removeprefix("vectors_")
        cases = importlib.import_module(f"tests.parity.{path.stem}").cases()
        ids = [case["id"] for case in cases]
        if len(set(ids)) != len(ids):
            raise ValueError(f"{path.name} gives two cases one id")
        name = f"{kernel}.json"
        made[name] = _text({"kernel": kernel, "cases": cases})
        index[name] = len(cases)
    return made | {"index.json": _text(index)}


def write() -> int:
    """Write every file; says how many cases each holds."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    made = files()
    for name, text in made.items():
        (FOLDER / name).write_text(text, encoding="utf-8")
    print(made["index.json"], end="")
    return 0


def check() -> int:
    """1 when a file is stale, missing or no longer made; names it."""
    made = files()
    present = {path.name for path in FOLDER.glob("*.json")} - {"schema.json"}
    stale = [
        name
        for name, text in made.items()
        if name not in present or (FOLDER / name).read_text(encoding="utf-8") != text
    ]
    wrong = sorted(stale) + sorted(present - set(made))
    for name in wrong:
        print(f"fixtures/vectors/{name} is stale: run `teamdive vectors`, read the difference, commit it.")
    return 1 if wrong else 0


def _text(value: Any) -> str:
    if isinstance(value, dict) and "cases" in value:
        # A case a line keeps a difference readable.
        cases = ",\n".join(json.dumps(case, ensure_ascii=False, allow_nan=False) for case in value["cases"])
        return f'{{"kernel": {json.dumps(value["kernel"])}, "cases": [\n{cases}\n]}}\n'
    return json.dumps(value, indent=1, ensure_ascii=False) + "\n"
