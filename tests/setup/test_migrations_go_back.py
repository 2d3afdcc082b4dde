"""Every migration of ours can be undone and done again, and the rules stand as before."""

import json
import os
import subprocess
import sys

import pytest

from coop.setup.environment import ROOT

#: In a Python of its own, on a database of its own: up, all the way back, and up again. People
#: stand at the bottom of the house, so undoing them undoes all that stands on them.
STORY = """
import json, django
django.setup()
from django.core.management import call_command
from django.db import connection

def triggers():
    with connection.cursor() as cursor:
        cursor.execute("SELECT sql FROM sqlite_master WHERE type = 'trigger'")
        return sorted(row[0] for row in cursor.fetchall())

call_command("migrate", verbosity=0)
stood = [triggers()]
call_command("migrate", "people", "zero", verbosity=0)
stood.append(triggers())
call_command("migrate", verbosity=0)
stood.append(triggers())
print(json.dumps(stood))
"""


@pytest.mark.slow
@pytest.mark.sqlite
def test_all_the_way_back_and_up_again(tmp_path):
    kept = {name: os.environ[name] for name in ("PATH", "SYSTEMROOT") if name in os.environ}
    done = subprocess.run(
        [sys.executable, "-c", STORY],
        cwd=ROOT,
        env={**kept, "DATA_FOLDER": str(tmp_path), "DJANGO_SETTINGS_MODULE": "coop.settings"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    first, undone, again = json.loads(done.stdout)
    assert len(first) >= 90
    assert undone == []
    assert again == first
