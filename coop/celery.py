"""The Celery application: `celery -A coop worker`, `celery -A coop beat`."""

import os

from celery import Celery
from kombu.transport import TRANSPORT_ALIASES

# The scheme of CELERY_BROKER_URL where no Redis is set.
TRANSPORT_ALIASES["folder"] = "coop.folder_transport:Transport"

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "coop.settings")
app = Celery("coop")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
