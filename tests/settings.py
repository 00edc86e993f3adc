"""Django's settings for the tests: data in a folder of this run, never the user's own.

Read before anything else by pytest-django, so the environment is set here.
"""

import os
import tempfile

os.environ["TEAMDIVE_DATA"] = tempfile.mkdtemp(prefix="teamdive-tests-")
os.environ.setdefault("TEAMDIVE_SECRET_KEY", "tests only")
os.environ.pop("TEAMDIVE_REDIS_URL", None)

from teamdive.config.settings import *  # noqa: F403

# What a password is stretched by is Django's own affair and its cost would be paid for every person of every test.
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
