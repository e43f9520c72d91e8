"""What somebody supposes, as they fill it in: some lines of added spares, some of firmware, and a few figures."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator
from django.forms import BoundField

from fleet.models import FirmwarePolicy, FirmwareRelease, Place, PlaceKind
from fleet.planning import supposing
from fleet.planning.capabilities import FirmwareState
from fleet.planning.supposing import AddedSpare, SupposedPolicy, SupposingError, Supposition
from fleet.planning.supposing_text import read_build
from fleet.queries.supposed_rows import found_in_book

SPARE_LINES, POLICY_LINES = 3, 2
PLACES = "places"
MOST_PLACES_NAMED = 8
NUMBERS = {
    "drill_days": ("A drill every so many days", "For every home, such as 182.", supposing.MOST_DRILL_DAYS),
    "point_hours": (
        "The newest sound copy may be so many hours old",
        "The recovery point of every home, such as 24.",
        supposing.MOST_POINT_HOURS,
    ),
    "wait_days": (
        "Days until a new radio is here",
        "What a home without a spare waits for; 14 is common practice. Empty: such waits are not counted.",
        supposing.MOST_WAIT_DAYS,
    ),
}


@dataclass(frozen=True, slots=True)
class Group:
    """Some fields of the form under one heading, shown as a form of its own; folded while nothing is in it."""

    legend: str
    visible_fields: tuple[BoundField, ...]
    folded: bool = False
    hidden_fields: tuple[BoundField, ...] = ()
    errors: tuple[str, ...] = ()


class WhatIfForm(forms.Form):
    """cleaned_data["change"] holds the supposition. Each error names the value, and what would be right."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        builds = [("", "none"), *_builds()]
        where = _where_to_lie()
        for line in range(1, SPARE_LINES + 1):
            self.fields[f"spare_{line}"] = forms.ChoiceField(
                label="Radio and firmware", choices=builds, required=False
            )
            self.fields[f"count_{line}"] = _number("How many", supposing.MOST_ADDED)
            self.fields[f"place_{line}"] = forms.CharField(
                label="Where",
                required=False,
                max_length=16,
                help_text=where,
                widget=forms.TextInput(attrs={"list": PLACES, "autocapitalize": "characters"}),
            )
            self.fields[f"price_{line}"] = forms.DecimalField(
                label="Price of one", required=False, max_digits=9, decimal_places=2
            )
        self.fields["taken"] = forms.CharField(
            label="Codes of spares that would be gone",
            required=False,
            max_length=2000,
            help_text="With blanks between them, such as A2-0201 A2-0202.",
            widget=forms.TextInput(attrs={"autocapitalize": "characters"}),
        )
        for name, (label, hint, most) in NUMBERS.items():
            self.fields[name] = _number(label, most, hint)
        self.fields["wait_days"].initial = supposing.USUAL_WAIT_DAYS
        for line in range(1, POLICY_LINES + 1):
            self.fields[f"build_{line}"] = forms.ChoiceField(label="Firmware", choices=builds, required=False)
            self.fields[f"policy_{line}"] = forms.ChoiceField(
                label="Would be", choices=[("", "as it is"), *FirmwarePolicy.choices], required=False
            )

    def groups(self) -> Iterator[Group]:
        """The fields as the page shows them."""
        for line in range(1, SPARE_LINES + 1):
            names = [f"{name}_{line}" for name in ("spare", "count", "place", "price")]
            yield self._group("Spares that are added" if line == 1 else "More spares", names, line > 1)
        yield self._group("Spares that are taken away", ["taken"])
        yield self._group("What is promised", ["drill_days", "point_hours"])
        for line in range(1, POLICY_LINES + 1):
            legend = "Firmware policy" if line == 1 else "More firmware"
            yield self._group(legend, [f"build_{line}", f"policy_{line}"], line > 1)
        yield self._group("What the hours are counted with", ["wait_days"])

    def _group(self, legend: str, names: list[str], may_fold: bool = False) -> Group:
        fields = tuple(self[name] for name in names)
        filled = any(field.value() not in (None, "") or field.errors for field in fields)
        return Group(legend, fields, may_fold and not filled)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        added = [spare for line in range(1, SPARE_LINES + 1) if (spare := self._spare(line))]
        policies = [policy for line in range(1, POLICY_LINES + 1) if (policy := self._policy(line))]
        taken = tuple(dict.fromkeys(cleaned.get("taken", "").replace(",", " ").split()))
        self._found(Supposition(taken=taken), {"taken": "taken"})
        if self.errors:
            return cleaned
        try:
            cleaned["change"] = Supposition(
                tuple(added),
                taken,
                cleaned["drill_days"],
                cleaned["point_hours"],
                tuple(policies),
                cleaned["wait_days"],
            )
        except SupposingError as error:
            self.add_error(f"build_{POLICY_LINES}", str(error))
            return cleaned
        if cleaned["change"].is_empty:
            self.add_error(None, "Nothing is supposed yet: fill in at least one change.")
        return cleaned

    def _spare(self, line: int) -> AddedSpare | None:
        given = {
            name: self.cleaned_data.get(f"{name}_{line}") for name in ("spare", "count", "place", "price")
        }
        if not any(value not in (None, "") for value in given.values()):
            return None
        for name, right in (
            ("spare", "choose one from the list"),
            ("count", f"write 1 to {supposing.MOST_ADDED}"),
            ("place", "write the code of a shelf, a van or a home"),
        ):
            if given[name] in (None, "") and f"{name}_{line}" not in self.errors:
                self.add_error(f"{name}_{line}", f"Nothing is said here, but the line is begun; {right}.")
        if any(given[name] in (None, "") for name in ("spare", "count", "place")):
            return None
        try:
            model, version = read_build("spare", given["spare"])
            spare = AddedSpare(model, version, given["count"], given["place"].strip(), given["price"])
        except SupposingError as error:
            self.add_error(f"{error.field}_{line}", str(error))
            return None
        self._found(Supposition(added=(spare,)), {"spare": f"spare_{line}", "place": f"place_{line}"})
        return spare

    def _policy(self, line: int) -> SupposedPolicy | None:
        build, policy = (self.cleaned_data.get(f"{name}_{line}") for name in ("build", "policy"))
        if bool(build) != bool(policy):
            missing = "policy" if build else "build"
            self.add_error(
                f"{missing}_{line}",
                "Nothing is chosen here, but the line is begun; choose one from the list.",
            )
        return (
            SupposedPolicy(*read_build("build", build), FirmwareState(policy)) if build and policy else None
        )

    def _found(self, change: Supposition, fields: dict[str, str]) -> None:
        try:
            found_in_book(change)
        except SupposingError as error:
            self.add_error(fields[error.field], str(error))


def filled_with(change: Supposition) -> dict[str, Any]:
    """What the form shows for a supposition that was asked before, as far as it has lines for it."""
    shown: dict[str, Any] = {name: getattr(change, name) for name in NUMBERS}
    shown["taken"] = " ".join(change.taken)
    for line, spare in enumerate(change.added[:SPARE_LINES], 1):
        values = (f"{spare.model}@{spare.version}", spare.count, spare.place, spare.price)
        shown |= dict(
            zip((f"{name}_{line}" for name in ("spare", "count", "place", "price")), values, strict=True)
        )
    for line, each in enumerate(change.policies[:POLICY_LINES], 1):
        shown |= {f"build_{line}": f"{each.model}@{each.version}", f"policy_{line}": each.policy.value}
    return shown


def places_offered() -> list[Place]:
    """The shelves and vans, to choose from while typing."""
    return list(Place.objects.exclude(kind=PlaceKind.HOME))


def _where_to_lie() -> str:
    """What may be written as a place, with the codes that the book has."""
    codes = [place.code for place in places_offered()]
    more = ", ..." if len(codes) > MOST_PLACES_NAMED else ""
    known = f"{', '.join(codes[:MOST_PLACES_NAMED])}{more}" if codes else "none is in the book yet"
    return f"The code of a shelf or a van ({known}), or of a home."


def _builds() -> list[tuple[str, str]]:
    rows = FirmwareRelease.objects.select_related("model").order_by("model__code", "-order_key", "version")
    return [
        (f"{row.model.code}@{row.version}", f"{row.model} {row.version} ({row.get_policy_display().lower()})")
        for row in rows
    ]


def _number(label: str, most: int, hint: str = "") -> forms.IntegerField:
    wrong = f"%(show_value)s cannot be; write 1 to {most}."
    return forms.IntegerField(
        label=label,
        required=False,
        help_text=hint,
        widget=forms.NumberInput(attrs={"min": 1, "max": most, "inputmode": "numeric"}),
        validators=[MinValueValidator(1, wrong), MaxValueValidator(most, wrong)],
    )
