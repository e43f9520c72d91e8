"""What people type about a drill, made clean."""

from django import forms

from fleet.models import DrillKind, Mesh, Place, Radio, RehearsalEnd
from fleet.models.drilling import SETUPS
from fleet.pages.replacing_forms import RadioChoice
from fleet.planning.drilling.setup import REACH_KM, Setup
from fleet.queries.drilling.card import places_to_drill, spares_to_drill
from fleet.verbs.drilling.bench import Intent
from sites.forms import SecondPerson

KINDS = [
    (DrillKind.PAPER.value, DrillKind.PAPER.label),
    (DrillKind.BENCH.value, "Bench write to a blank spare"),
]


class BeginForm(forms.Form):
    """Which kind, and for a bench write the spare, the place, and that nothing radiates there."""

    kind = forms.ChoiceField(label="Which kind of drill", choices=KINDS, widget=forms.RadioSelect)
    radio = RadioChoice(
        label="Which blank spare is written",
        queryset=Radio.objects.none(),
        required=False,
        empty_label="none: on paper",
        help_text="Those of the build that the plan would use come first. On another build a drill counts for that "
        "pair of builds only.",
    )
    place = forms.ModelChoiceField(
        label="Where it is written",
        queryset=Place.objects.none(),
        required=False,
        empty_label="choose a place",
    )
    spot = forms.CharField(label="Where exactly", max_length=200, required=False)
    setup = forms.ChoiceField(
        label="How it is kept from radiating", choices=SETUPS, widget=forms.RadioSelect, required=False
    )
    nothing_radiates = forms.BooleanField(
        label=f"Nothing radiates there, and the home is {round(REACH_KM * 1000)} m away or more",
        required=False,
    )
    use_up_address = forms.BooleanField(
        label="Where the spare's address can be written a single time: this drill may use that up",
        required=False,
    )

    def __init__(self, *args: object, mesh: Mesh, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        spares = spares_to_drill(mesh)
        radio = self.fields["radio"]
        radio.queryset = Radio.objects.filter(pk__in=[spare.pk for spare in spares]).select_related(
            "model", "firmware", "place"
        )
        radio.choices = [("", radio.empty_label)] + [
            (spare.pk, radio.label_from_instance(spare)) for spare in spares
        ]
        self.fields["place"].queryset = places_to_drill(mesh)

    def intent(self) -> Intent:
        """What was typed, as the verb takes it."""
        told = self.cleaned_data
        return Intent(
            kind=DrillKind(told["kind"]),
            radio=told["radio"],
            place=told["place"],
            spot=told["spot"],
            setup=Setup(told["setup"]) if told["setup"] else None,
            nothing_radiates=told["nothing_radiates"],
            use_up_address=told["use_up_address"],
        )


class StepForm(forms.Form):
    """What went wrong at a step, where anything did."""

    problem = forms.CharField(label="What went wrong at this step", max_length=300, required=False)


class EndForm(forms.Form):
    """How it ended, and why where it did not pass."""

    note = forms.CharField(label="What failed, or why it is aborted", max_length=300)

    def __init__(self, *args: object, how: RehearsalEnd, **kwargs: object) -> None:
        super().__init__(*args, auto_id=f"{how.value}_%s", **kwargs)
        if how == RehearsalEnd.PASSED:
            del self.fields["note"]
            return
        failed = how == RehearsalEnd.FAILED
        self.fields["note"].label = "What failed" if failed else "Why it is aborted"
        self.fields["note"].error_messages["required"] = "Say it in a few words."


class SecondForm(SecondPerson):
    """Who agrees to a copy that one person may not take alone."""

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, needed=False, **kwargs)
