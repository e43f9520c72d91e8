"""What somebody asks of a storm, as they fill it in."""

from typing import Any

from django import forms

from fleet.models import Place, PlaceKind, RadioModel
from fleet.planning.storm import asking
from fleet.planning.storm.asking import Asked, Strikes
from fleet.planning.storm.case import REST_HOURS, StormError
from fleet.queries.storm import who_may_go

STRIKES = [
    (Strikes.AROUND.value, "Homes around one home"),
    (Strikes.MODEL.value, "Homes with one type of radio"),
    (Strikes.NAMED.value, "Homes that are named"),
    (Strikes.RANDOM.value, "Homes at random"),
]


class StormForm(forms.Form):
    """cleaned_data["asked"] holds the question. Each error names the value, and what would be right."""

    strikes = forms.ChoiceField(
        label="What is out", choices=STRIKES, initial=Strikes.RANDOM.value, widget=forms.RadioSelect
    )
    home = forms.CharField(
        label="Around which home", required=False, max_length=16, help_text="Such as KELP-7."
    )
    km = forms.FloatField(label="Within so many km", initial=asking.USUAL_KM)
    model = forms.ModelChoiceField(
        label="Which type of radio",
        queryset=RadioModel.objects.all(),
        to_field_name="code",
        required=False,
        empty_label="none",
    )
    named = forms.CharField(
        label="Which homes", required=False, max_length=2000, help_text="Codes with blanks between them."
    )
    most = forms.IntegerField(
        label="Homes at most",
        initial=asking.USUAL_HOMES,
        help_text=f"1 to {asking.MOST_HOMES}; not for named ones.",
    )
    people = forms.MultipleChoiceField(
        label="Who goes",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="With the hours and the base that the book has of them.",
    )
    places = forms.MultipleChoiceField(
        label="Whose spares count",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: all. Spares in the homes themselves always count.",
    )
    rest_hours = forms.FloatField(label="Hours of rest between two days of work", initial=REST_HOURS)
    runs = forms.IntegerField(
        label="How often it is played",
        initial=asking.USUAL_RUNS,
        help_text=f"10 to {asking.MOST_RUNS:,} times.",
    )
    seed = forms.IntegerField(
        label="Seed", initial=1, help_text="The same seed draws the same homes and the same hours."
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["people"].choices = [(each.username, str(each)) for each in who_may_go()]
        places = Place.objects.exclude(kind=PlaceKind.HOME)
        self.fields["places"].choices = [(each.code, f"{each.name} ({each.code})") for each in places]
        self.fields["people"].initial = [each.username for each in who_may_go() if each.role == "technician"]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        if self.errors:
            return cleaned
        model = cleaned.get("model")
        try:
            cleaned["asked"] = Asked(
                strikes=Strikes(cleaned["strikes"]),
                people=tuple(cleaned["people"]),
                most=cleaned["most"],
                home=cleaned["home"].strip().upper(),
                km=cleaned["km"],
                model=model.code if model else "",
                named=tuple(dict.fromkeys(cleaned["named"].upper().replace(",", " ").split())),
                places=tuple(cleaned["places"]),
                rest_hours=cleaned["rest_hours"],
                runs=cleaned["runs"],
                seed=cleaned["seed"],
            )
        except StormError as error:
            self.add_error(error.field, str(error))
        return cleaned


def filled_with(asked: Asked) -> dict[str, Any]:
    """What the form shows for a question that was asked before."""
    shown = asking.as_data(asked)
    return {**shown, "named": " ".join(asked.named)}
