"""How commands find visits, plans and people by what is typed."""

from datetime import date

from django.core.management.base import CommandError

from fleet.models import Visit, VisitPlan
from sites.models import Person


def visit_typed(text: str) -> Visit:
    """The visit of that code (KELP-7/12), or CommandError."""
    home, _, number = text.strip().upper().rpartition("/")
    visit = None
    if number.isdecimal() and len(number) < 19:
        visit = Visit.objects.select_related("site__client").filter(pk=int(number)).first()
    if visit is None or (home and visit.site.code != home):
        raise CommandError(f"There is no visit {text} in this book; visits list shows those that are wanted.")
    return visit


def plan_typed(text: str) -> VisitPlan:
    """The plan of that number, or whose uid begins so; CommandError."""
    asked = text.strip().lower()
    rows = VisitPlan.objects.all()
    found = list(rows.filter(pk=int(asked))) if asked.isdecimal() and len(asked) < 19 else []
    if not found and len(asked) >= 8:
        found = list(rows.filter(uid__startswith=asked))
    if len(found) != 1:
        raise CommandError(f"There is no plan {text} in this book; plan list shows them.")
    return found[0]


def person_typed(name: str | None, argument: str) -> Person | None:
    """The person of that user name; None where nothing was typed; CommandError."""
    if not name:
        return None
    person = Person.objects.filter(username=name, is_active=True).first()
    if person is None:
        raise CommandError(f"{argument} {name}: nobody has this user name in the book.")
    return person


def day_typed(text: str, argument: str) -> date:
    """A date such as 2027-03-30, or CommandError."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise CommandError(f"{argument} {text}: right is a day such as 2027-03-30.") from None
