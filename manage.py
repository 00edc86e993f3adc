#!/usr/bin/env python
"""Django's own commands for contributors; everyone else uses `teamdive`."""

import os
import sys

from django.core.management import execute_from_command_line

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "teamdive.config.settings")
    execute_from_command_line(sys.argv)
