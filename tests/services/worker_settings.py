"""Settings of the workers that tests start: a clock that ticks fast, and leases that end soon."""

import os

from coop.settings import *  # noqa: F403
from coop.settings import DATABASES

MAIL_LEASE_SECONDS = float(os.environ.get("TEST_LEASE_SECONDS", "8"))
MAIL_LETTER_SECONDS = 60
CELERY_BEAT_SCHEDULE = {
    "tick": {"task": "coop.notices.tasks.tick", "schedule": 0.5, "options": {"expires": 5}},
}
CELERY_IMPORTS = ("tests.services.nowhere",)
if "TEST_EMAIL_BACKEND" in os.environ:
    EMAIL_BACKEND = os.environ["TEST_EMAIL_BACKEND"]
CELERY_BEAT_MAX_LOOP_INTERVAL = 0.5
if DATABASES["default"]["ENGINE"].endswith("postgresql"):
    # Nobody needs a test's rows after a power cut: a commit does not wait for the disk.
    DATABASES["default"]["OPTIONS"] |= {"options": "-c synchronous_commit=off"}
