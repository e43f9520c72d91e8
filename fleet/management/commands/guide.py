"""python manage.py guide {propose,test,save}: teach the book a foreign layout by a field guide."""

import json
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management import proposals
from fleet.management.documents import document_in, foreign_in, guide_named
from fleet.management.guide_answers import Answer, answer, mark_falls
from fleet.queries.layouts import guide_for
from fleet.snapshots.choosing import Unclear, chosen_guide
from fleet.snapshots.fingerprint import layout_fingerprint
from fleet.snapshots.guides import lacking, to_json
from fleet.snapshots.proposing import propose
from fleet.verbs.guides import confirm


class Command(BaseCommand):
    help = (
        "A field guide (field_guide.schema.json) says where each fact stands in a foreign layout. "
        "propose: look at one document and say how it could be read, why, and how sure that is; keys stay hidden. "
        "test: read documents with a guide and say what it finds, and where counters of a mesh fall from one to the "
        "next; nothing is stored. "
        "save: confirm a guide for the layout of the documents; later ones are read by it, and what waits in the "
        "tray is read again. Exit status 0 only when the guide is complete, every document was read and no counter "
        "falls."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        acts = parser.add_subparsers(dest="act", required=True, metavar="propose|test|save")
        new = acts.add_parser("propose", help="say how a document could be read")
        new.add_argument("file", type=Path, metavar="FILE", help="a document in the unknown layout")
        new.add_argument("--name", default="proposed", help="what the guide is to be called")
        new.add_argument("--out", type=Path, metavar="GUIDE", help="write the guide there; a new file")
        new.add_argument(
            "--choose",
            action="append",
            default=[],
            metavar="PLACE=N",
            help="take another candidate, such as head_address=2; out leaves a fact out, in takes a list",
        )
        new.add_argument(
            "--fix",
            action="append",
            default=[],
            metavar="FACT=VALUE",
            help="what holds for all documents of the layout, such as key_sequence=0; or where a fact stands, such "
            "as 'pan_id=net.pan as hex'",
        )
        new.add_argument("--json", action="store_true", help="print the proposal as JSON")
        for act, what in (("test", "say what a guide finds"), ("save", "confirm a guide")):
            known = acts.add_parser(act, help=what)
            known.add_argument(
                "guide", metavar="GUIDE", help="the guide's file, or the name of a confirmed one"
            )
            known.add_argument("files", nargs="+", type=Path, metavar="FILE", help="documents of the layout")
            known.add_argument("--by", default="command line", metavar="NAME", help="who confirms it")
            known.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["act"] == "propose":
            self.propose(options)
        else:
            self.read(options)

    def propose(self, options: dict[str, Any]) -> None:
        path, out = options["file"], options["out"]
        document = foreign_in(path)
        proposal = propose(document)
        picked, stated = parted(options["choose"], "--choose"), parted(options["fix"], "--fix")
        try:
            guide = chosen_guide(proposal, options["name"], picked, stated)
        except Unclear as error:
            raise CommandError("\n".join(str(problem) for problem in error.problems)) from None
        missing, known = lacking(guide), guide_for(document)
        complete = not missing and bool(guide.tables)
        if out and complete:
            written(out, to_json(guide))
        facts = {
            "file": str(path),
            "known_by": known.edition if known else None,
            **proposals.told(proposal, guide),
            "complete": complete,
            "lacking": [fact.value for fact in missing],
            "written": str(out) if out and complete else None,
        }
        if options["json"]:
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
        else:
            self.tell_proposal(facts)
        if not proposal.has_nodes:
            raise CommandError(
                f"{path} has no list of nodes: none has a different 64-bit address in each row. "
                "A copy without its devices brings nothing back. Nothing was written."
            )
        if not complete:
            needed = [proposals.remedy(fact) for fact in missing] or ["a list of nodes: --choose nodes[0]=in"]
            raise CommandError(
                "\n  ".join(["The guide is not complete, and nothing was written. It needs", *needed])
            )

    def tell_proposal(self, facts: dict[str, Any]) -> None:
        if facts["known_by"]:
            self.stdout.write(f"The field guide {facts['known_by']} knows this layout already.")
        for line in proposals.lines(facts):
            self.stdout.write(line)
        if facts["written"]:
            self.stdout.write(
                f"Written to {facts['written']}. Next: guide test {facts['written']} {facts['file']}"
            )
        elif facts["complete"]:
            self.stdout.write("The guide is complete. --out GUIDE writes it to a new file.")

    def read(self, options: dict[str, Any]) -> None:
        guide = guide_named(options["guide"])
        documents = {path: document_in(path) for path in options["files"]}
        answers = [answer(path, guide, document) for path, document in documents.items()]
        mark_falls(answers)
        saved = None
        if options["act"] == "save" and all(each.ok for each in answers):
            for fingerprint in {layout_fingerprint(document) for document in documents.values()}:
                done = confirm(guide, fingerprint, options["by"], timezone.now())
                saved = {
                    "guide": done.row.name,
                    "version": done.row.version,
                    "taken_in": done.taken_in,
                    "still_waiting": done.still_waiting,
                }
        if options["json"]:
            told = [each.told() for each in answers]
            self.stdout.write(json.dumps({"documents": told, "saved": saved}, indent=1, ensure_ascii=False))
        else:
            self.tell(answers, saved)
        bad, fallen = (
            sum(each.facts is None for each in answers),
            sum(bool(each.findings) for each in answers),
        )
        if bad:
            raise CommandError(
                f"{bad} of {len(answers)} documents cannot be read with this guide; nothing was saved."
            )
        if fallen:
            raise CommandError(
                f"Counters fall in {fallen} of {len(answers)} documents; nothing was saved. Mend how the guide reads "
                "them; where a radio did start anew, save the guide with the newest document alone."
            )

    def tell(self, answers: list[Answer], saved: dict[str, Any] | None) -> None:
        for each in answers:
            self.stdout.write(f"{each.path}: {'not read' if each.facts is None else 'read'}")
            for line in each.lines():
                self.stdout.write(f"  {line}")
        if saved:
            self.stdout.write(
                f"Saved as {saved['guide']}, version {saved['version']}; {saved['taken_in']} documents left the tray, "
                f"{saved['still_waiting']} of the layout still wait."
            )


def parted(words: list[str], option: str) -> dict[str, str]:
    """["pan_id=2"] -> {"pan_id": "2"}, or CommandError."""
    pairs = [word.partition("=") for word in words]
    for name, sign, text in pairs:
        if not (name.strip() and sign and text.strip()):
            raise CommandError(
                f"{option} {name}: right is a name, an equals sign and what you want, as in pan_id=2"
            )
    return {name.strip(): text for name, _, text in pairs}


def written(path: Path, text: str) -> None:
    """Into a new file; one that is there is never overwritten."""
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise CommandError(f"--out {path} is there already; name a new file.") from None
    except OSError as error:
        raise CommandError(f"--out {path} cannot be written: {error.strerror}") from None
