#!/usr/bin/env python3
"""One entry for people: `start`, `test`, and Django's own commands."""

import os
import sys

OLDEST = (3, 11)


def django() -> int:
    """Run one of Django's own commands, inside .venv."""
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    from coop.setup.variables import WrongSetting

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "coop.settings")
    try:
        execute_from_command_line(sys.argv)
    except (ImproperlyConfigured, WrongSetting) as error:
        sys.exit(str(error))
    return 0


if __name__ == "__main__":
    if sys.version_info < OLDEST:
        sys.exit(
            "Many Larders needs Python 3.11 or newer, and this is %s. Install a newer one and run "
            "the command with it." % sys.version.split()[0]
        )
    from coop.setup.command import main

    sys.exit(main(sys.argv[1:], django))
