"""Everything between an empty data folder and a site that can be opened."""

from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, CommandParser, call_command
from django.db import OperationalError

from coop.buying.demo.script import read_script
from coop.kitchen.demo.load import load_demo, sign_ins
from coop.notices.sources import put_right
from coop.people.models import Coop


class Command(BaseCommand):
    """Migrate, collect static files, and load the demo co-op into an empty database.

    What the person should read when the site is up goes to standard output, the rest to
    standard error. A second run changes nothing.
    """

    help = "Prepares the database and the static files; `start` runs it first."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-demo", dest="demo", action="store_false")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            call_command("migrate", interactive=False, verbosity=0)
        except OperationalError as error:
            raise CommandError(f"The database cannot be used: {error}") from error
        call_command("collectstatic", interactive=False, verbosity=0)
        self._tell()
        if options["demo"]:
            self._demo()
        if settings.EMAIL_BACKEND.endswith("filebased.EmailBackend"):
            self.stdout.write(f"Mail, sign-in codes too, is written to {settings.EMAIL_FILE_PATH}")

    def _tell(self) -> None:
        """Co-ops of a release without notices are told at once what is to come, not from tomorrow.

        What lies more than a day back is not told any more.
        """
        for coop in Coop.objects.filter(matters__isnull=True):
            put_right(coop)

    def _demo(self) -> None:
        if not Coop.objects.exists():
            self.stderr.write("Loading the demo co-op …")
            load_demo()
        if Coop.objects.filter(slug=read_script().coop["slug"]).exists():
            for line in sign_ins():
                self.stdout.write(line)
