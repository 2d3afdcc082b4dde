"""The project's settings with a data folder of its own, and nothing that leaves the machine.

DATABASE_URL chooses the database: SQLite in a file where it is not set, PostgreSQL where it is.
"""

import atexit
import os
import shutil
import tempfile

_folder = tempfile.mkdtemp(prefix="larders-test-")
atexit.register(shutil.rmtree, _folder, ignore_errors=True)
os.environ |= {"DATA_FOLDER": _folder, "SECRET_KEY": "known-to-every-test-" * 3, "HTTPS": "off"}
_UNSET = ("REDIS_URL", "EMAIL_URL", "DEBUG", "ALLOWED_HOSTS", "SITE_ADDRESS", "TRUSTED_PROXIES")
for _name in _UNSET:
    os.environ.pop(_name, None)

from coop.settings import *  # noqa: E402, F403
from coop.settings import DATA_FOLDER, DATABASES, STORAGES  # noqa: E402

ALLOWED_HOSTS = ["testserver", "localhost", "127.0.0.1"]
# A file, not memory: threads then meet at the same locks as in the real site.
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["TEST"] = {"NAME": str(DATA_FOLDER / "test.sqlite3")}
else:  # a name of its own for each run: two may go on side by side
    DATABASES["default"]["TEST"] = {"NAME": f"larders_test_{os.getpid()}"}
    # Nobody needs a test's rows after a power cut: a commit does not wait for the disk.
    DATABASES["default"]["OPTIONS"] |= {"options": "-c synchronous_commit=off"}
DATABASES["default"]["CONN_MAX_AGE"] = 0
STORAGES["staticfiles"] = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
WHITENOISE_AUTOREFRESH = True  # static files straight from their sources
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # quick, for tests alone
# A task that is sent is kept in memory: tests call tasks themselves, or ask for `real_broker`.
CELERY_BROKER_URL = "memory://"
CELERY_BROKER_TRANSPORT_OPTIONS: dict[str, object] = {}
