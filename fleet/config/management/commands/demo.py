"""python manage.py demo: the whole job, once: a book, its snapshots, a round, every sheet, and the pages."""

import json
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fixtures import left, scenario
from fleet.config.embedded import serve
from fleet.config.environment import made_once
from fleet.management.progress import Bar
from fleet.management.tables import table
from fleet.models import Drill, Erasure, Mesh, Radio, RadioState
from fleet.queries.board import rows as worst_first
from fleet.queries.clock import book_time
from fleet.queries.incidents import incidents_in
from fleet.verbs import journal_chain, send, tell
from fleet.verbs import round as rounds
from fleet.verbs.intake import Kind, Origin, receive
from reports.facts.stretches import month_before, year_up_to
from reports.models import Sheet, SheetKind
from reports.queries.subjects import digest_of, drill_of, erasure_of, evidence_of, job_of
from reports.verbs import issuing as papers
from sites.models import Client, Firm, Person, Site

MODEL_HOME = "KELP-7"
TO_REPLACE = ("MAPLE-3-A", "B1-0103")


class Command(BaseCommand):
    help = (
        "Make the demo book when the book is empty (an invented firm, its homes, and 14 months of snapshots fed "
        "through the real intake), run a round, write every sheet, print what each home's state is, and serve the "
        "pages with background jobs until Ctrl-C. A book that holds clients already is left as it is: no row is "
        "added but the round's and new sheets."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="stop after printing the table")
        parser.add_argument("--port", type=int, default=8000, metavar="N", help="port of the pages (8000)")
        parser.add_argument("--json", action="store_true", help="print the table as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("migrate", verbosity=0, interactive=False)
        if not Client.objects.exists():
            self.fill()
        self.note("Running the round and writing the sheets ...")
        errors = self.judge()
        papers.issue_missing(timezone.now(), by="demo")
        papers.renew_stale(timezone.now(), by="demo")
        self.owners_papers()
        self.papers_of_work()
        self.tell()
        self.show(options["json"])
        if errors:
            raise CommandError(f"The round failed at {len(errors)} meshes: {errors}")
        if not options["no_serve"]:
            self.serve(options["port"])

    def judge(self) -> list[dict[str, str]]:
        """A round; where another is at work, or was killed a moment ago, what it found so far is shown."""
        try:
            return rounds.run(book_time().clock, by="demo").errors
        except rounds.AlreadyRunning as error:
            self.note(str(error))
            return []

    def owners_papers(self) -> None:
        """The last whole month of the book, and a year's evidence of the model home."""
        now = timezone.now()
        firm = Firm.objects.first() or Firm()
        papers.issue(digest_of(*month_before(_day(now, firm.time_zone))), "demo", now)
        site = Site.objects.filter(code=MODEL_HOME, client__erased_at=None).select_related("client").first()
        if site is not None:
            papers.issue(evidence_of(site, *year_up_to(_day(now, site.time_zone))), "demo", now)

    def papers_of_work(self) -> None:
        """A job sheet, a drill's record and an erasure certificate, where the demo's own rows are in the book."""
        now = timezone.now()
        mesh = Mesh.objects.filter(code=TO_REPLACE[0], site__client__erased_at=None).first()
        radio = Radio.objects.filter(code=TO_REPLACE[1], state=RadioState.SHELVED).first()
        drills = Drill.objects.filter(mesh__site__code=MODEL_HOME, mesh__site__client__erased_at=None)
        drill = drills.select_related("mesh__site__client").order_by("-done_at").first()
        erasure = Erasure.objects.select_related("client").first()
        wanted = (
            job_of(mesh, radio) if mesh and radio else None,
            drill_of(drill) if drill else None,
            erasure_of(erasure) if erasure else None,
        )
        for subject in filter(None, wanted):
            papers.issue(subject, "demo", now)

    def tell(self) -> None:
        """Write and send the messages that are due at this hour; without a mail server each becomes a file."""
        time = book_time()
        tell.tell(time.now)
        sent = send.send_due(time.clock)
        if sent.sent:
            self.note(
                f"{sent.sent} messages were sent; without a mail server they lie in {settings.MESSAGES_FOLDER}"
            )

    def fill(self) -> None:
        """The scenario's rows, its documents through the intake as they came, then what refers to them."""
        now = timezone.now()
        self.note("The book is empty: making the demo book ...")
        story = scenario.load(now)
        meshes = {mesh.code: mesh for mesh in Mesh.objects.select_related("site__client")}
        documents = list(story.documents)
        outcomes = dict.fromkeys(Kind, 0)
        bar = Bar(self.stderr)
        for place, document in enumerate(documents, 1):
            origin = Origin(document.how, "demo", document.file_name)
            receipt = receive(meshes[document.mesh_code], document.body, origin, document.received_at)
            outcomes[receipt.kind] += 1
            bar.step(place, len(documents))
        scenario.finish(now, story)
        left.put_left(story.now)
        journal_chain.seal(now)
        self.note(
            f"{len(documents)} documents came in: {outcomes[Kind.STORED]} taken in, "
            f"{outcomes[Kind.REPEATED]} were here before, {outcomes[Kind.TRAYED]} wait in the tray."
        )
        password = made_once(settings.HOME / "demo-sign-in")
        for person in Person.objects.all():
            person.set_password(password)
            person.save(update_fields=["password"])

    def show(self, as_json: bool) -> None:
        """Every mesh with its readiness, the reason, and the files of its sheets."""
        meshes = list(worst_first(Mesh.objects.filter(in_care=True)))
        incidents_in(Mesh.objects.filter(in_care=True)).mark(meshes)
        sheets = Sheet.objects.filter(replaced_by=None)
        recovery = {sheet.mesh_id: sheet for sheet in sheets.filter(kind=SheetKind.RECOVERY)}
        handover = {sheet.site_id: sheet for sheet in sheets.filter(kind=SheetKind.HANDOVER)}
        if as_json:
            facts = [
                {
                    "mesh": mesh.code,
                    "client": mesh.site.client.name,
                    "readiness": mesh.readiness,
                    "reason": mesh.readiness_reason,
                    "act": mesh.what_helps,
                    "handover": handover[mesh.site_id].file.path if mesh.site_id in handover else None,
                    "recovery": recovery[mesh.pk].file.path if mesh.pk in recovery else None,
                }
                for mesh in meshes
            ]
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
            return
        rows = [
            (
                mesh.code,
                mesh.site.client.name,
                mesh.get_readiness_display(),
                handover[mesh.site_id].file.name if mesh.site_id in handover else "none",
                recovery[mesh.pk].file.name if mesh.pk in recovery else "none",
                mesh.readiness_reason,
                mesh.what_helps,
            )
            for mesh in meshes
        ]
        heads = ("mesh", "client", "readiness", "hand-over", "recovery", "why", "what to do")
        self.stdout.write(table(heads, rows))
        self.stdout.write(f"Sheets lie in {settings.SHEETS_FOLDER}")

    def serve(self, port: int) -> None:
        owner = Person.objects.filter(is_superuser=True).order_by("pk").first()
        secret = settings.HOME / "demo-sign-in"
        if owner and secret.exists():
            self.stdout.write(
                f"Sign in at http://127.0.0.1:{port}/ as {owner.username}, password {secret.read_text().strip()}"
            )
        self.stdout.write("Background jobs run here too. Ctrl-C ends all of it.")
        self.stdout.flush()
        try:
            serve("127.0.0.1", port)
        except OSError as error:
            raise CommandError(
                f"Port {port} cannot be used: {error.strerror}. Name another with --port."
            ) from None

    def note(self, text: str) -> None:
        self.stderr.write(text)


def _day(moment: datetime, zone: str) -> date:
    return moment.astimezone(ZoneInfo(zone)).date()
