"""An outside channel that writes down each call it was asked for, and holds the worker while `hold` is there."""

import os
import time
from pathlib import Path

from teamdive.reminders.channels import Call


class Witness:
    """Appends `key pid` to $TEAMDIVE_DATA/calls: one write, so that two workers never mix their lines."""

    def send(self, call: Call) -> None:
        """Write the call down; then wait while the file `hold` is there (a send that takes its time)."""
        folder = Path(os.environ["TEAMDIVE_DATA"])
        with (folder / "calls").open("ab", buffering=0) as calls:
            calls.write(f"{call.key} {os.getpid()}\n".encode())
        while (folder / "hold").exists():
            time.sleep(0.02)
