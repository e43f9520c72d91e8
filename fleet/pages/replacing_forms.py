"""What people type about a replacement, made clean."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django import forms

from fleet.models import Mesh, Radio, Replacement, Silencing, Why
from fleet.planning.replacing.states import State
from fleet.queries.replacing.card import spares_to_choose
from fleet.verbs.replacing.asking import PLANNED
from fleet.verbs.replacing.photos import MOST_OCTETS
from sites.forms import SecondPerson
from sites.models import Person

MOMENT = "%Y-%m-%dT%H:%M"
FIRST_YEAR, LAST_YEAR = 2000, 2100


class RadioChoice(forms.ModelChoiceField):
    """A spare, with where it lies and whether it is blank."""

    def label_from_instance(self, radio: Radio) -> str:
        place = radio.place.name if radio.place else "place not known"
        blank = "proven blank" if radio.blank_proven_at else "NOT proven blank"
        firmware = radio.firmware
        version = (
            f"{firmware.version}, {firmware.get_policy_display().lower()}"
            if firmware
            else "firmware not known"
        )
        return f"{radio.code} {radio.model}, {place}, {blank}, {version}"


class AskForm(forms.Form):
    """Why another radio is wanted, and which if that is known."""

    why = forms.ChoiceField(label="Why", choices=Why.choices, widget=forms.RadioSelect)
    because = forms.CharField(label="In a few words", max_length=200)
    new_radio = RadioChoice(
        label="Which radio takes over",
        queryset=Radio.objects.none(),
        required=False,
        empty_label="not chosen yet",
    )

    def __init__(self, *args: object, mesh: Mesh, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["new_radio"].queryset = spares_to_choose(Replacement(mesh=mesh))


class PlanForm(forms.ModelForm):
    """What was agreed. Times are those on the home's clock."""

    new_radio = RadioChoice(
        label="Which radio takes over",
        queryset=Radio.objects.none(),
        required=False,
        empty_label="not chosen yet",
    )

    class Meta:
        model = Replacement
        fields = PLANNED
        labels = {
            "technician": "Who goes",
            "second": "Who comes along",
            "needs_licence": "The work touches the mains: a licence is needed",
            "needs_two": "Two people are needed",
            "begins_at": "Begins, on the home's clock",
            "ends_at": "Ends",
            "frost_forecast_c": "Coldest forecast for that day, in °C",
            "consent_by": "Who in the house agreed",
            "fall_backs_told": "The people in the house know how to do without locks, heating and alarms",
            "way_back_read": "I have read whether there is a way back",
        }
        help_texts = {
            "frost_forecast_c": "Where the mesh heats the house.",
            "consent_by": "The name, as they gave it.",
        }
        widgets = {
            name: forms.DateTimeInput(attrs={"type": "datetime-local"}, format=MOMENT)
            for name in ("begins_at", "ends_at")
        }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        zone = ZoneInfo(self.instance.mesh.site.time_zone)
        for name in ("begins_at", "ends_at"):
            self.fields[name] = MomentAtHome(zone, self.fields[name])
        people = Person.objects.filter(is_active=True).order_by("first_name", "username")
        for name in ("technician", "second"):
            self.fields[name].queryset = people
            self.fields[name].empty_label = "nobody named yet"
        self.fields["new_radio"].queryset = spares_to_choose(self.instance)

    def _post_clean(self) -> None:
        """The verb writes the row, under its lock, and says what is wrong with it."""


class MomentAtHome(forms.DateTimeField):
    """A moment typed and shown on the home's clock."""

    def __init__(self, zone: ZoneInfo, like: forms.Field) -> None:
        super().__init__(
            label=like.label,
            required=False,
            help_text=like.help_text,
            input_formats=[MOMENT],
            widget=like.widget,
            error_messages={"invalid": "Write it as 2027-03-26T09:30."},
        )
        self.zone = zone

    def to_python(self, value: object) -> datetime | None:
        moment = super().to_python(value)
        if moment and not FIRST_YEAR <= moment.year <= LAST_YEAR:
            raise forms.ValidationError(f"Write a year from {FIRST_YEAR} to {LAST_YEAR}.")
        return moment and moment.replace(tzinfo=self.zone)

    def prepare_value(self, value: object) -> object:
        return value.astimezone(self.zone) if isinstance(value, datetime) else value


class MoveForm(SecondPerson):
    """One move: a note, and where a radio must be shown silent, how, with a photo or a second person."""

    note = forms.CharField(label="Note", max_length=300, required=False)
    how = forms.ChoiceField(label="How was it silenced", choices=Silencing.choices, widget=forms.RadioSelect)
    photo = forms.FileField(
        label="Photo of the radio without its lead",
        required=False,
        help_text="Place and time that the camera notes are taken out; it lies sealed.",
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )
    without_number = forms.BooleanField(
        label="It was given no number of its own: it comes back as it stands, and its devices may not hear it",
        required=False,
    )
    field_order = ("how", "photo", "second_name", "second_password", "without_number", "note")

    def __init__(
        self,
        *args: object,
        to: State,
        proves: bool,
        notes: bool,
        radio: Radio | None = None,
        agrees: bool = False,
        deaf: bool = False,
        **kwargs: object,
    ) -> None:
        """radio: which is silenced; agrees: a second person may agree to a bad hour; deaf: no number was given."""
        super().__init__(*args, needed=False, auto_id=f"{to.value}_%s", **kwargs)
        unwanted = [] if proves else ["how", "photo"]
        unwanted += [] if proves or agrees else ["second_name", "second_password"]
        for name in [*unwanted, *([] if deaf else ["without_number"])]:
            del self.fields[name]
        if proves and radio is not None:
            self.fields["how"].label = f"How was {radio.code} silenced"
            self.fields["photo"].label = f"Photo of {radio.code} without its lead"
        self.fields["note"].required = notes
        self.fields["note"].error_messages["required"] = "Say in a few words what happened."

    def clean_photo(self) -> bytes | None:
        photo = self.cleaned_data.get("photo")
        if photo is None:
            return None
        if photo.size > MOST_OCTETS:
            raise forms.ValidationError(
                f"The photo has {photo.size >> 20} MB; it may have {MOST_OCTETS >> 20}."
            )
        return photo.read()
