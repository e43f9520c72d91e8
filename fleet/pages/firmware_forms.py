"""What people type about builds, passages and radios that failed."""

from django import forms

from fleet.models import FirmwarePolicy, FirmwareRelease, Numbering, Radio, RadioModel, Regression
from fleet.planning.firmware_use import MAY_BE_TRIED
from fleet.planning.rings import SOAK_DAYS, RingKind
from fleet.verbs.passages import Wish
from sites.models import Site

REASON = {"required": "Say in a few words why."}


class PolicyForm(forms.Form):
    """What the firm thinks of a build from now on."""

    policy = forms.ChoiceField(label="From now on it is", widget=forms.RadioSelect)
    because = forms.CharField(label="Why", max_length=200, error_messages=REASON)

    def __init__(self, *args: object, release: FirmwareRelease, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["policy"].choices = [
            (value, label) for value, label in FirmwarePolicy.choices if value != release.policy
        ]


class OrderForm(forms.Form):
    """A build's place in the order of its model."""

    place = forms.IntegerField(
        label="Its place", required=False, min_value=0, help_text="Higher is newer. Empty: none of its own."
    )
    reason = forms.CharField(label="Why", max_length=200, error_messages=REASON)


class NumberingForm(forms.Form):
    """How a model's builds are numbered."""

    numbering = forms.ChoiceField(
        label="Its builds are numbered by",
        choices=[("", "nobody has said"), *Numbering.choices],
        required=False,
    )


class BuildEntryForm(forms.Form):
    """A build that was seen for the first time."""

    version = forms.CharField(label="Version, as its maker writes it", max_length=60)
    band_plan = forms.CharField(
        label="Band plan", max_length=20, required=False, help_text="Where the maker has builds for several."
    )
    digest = forms.CharField(label="SHA-256 of its file", max_length=64, required=False)


class BeginForm(forms.Form):
    """From which build to which, whose homes are the firm's own, and how many homes come before the rest."""

    source = forms.ModelChoiceField(
        label="From", queryset=FirmwareRelease.objects.none(), empty_label="choose"
    )
    target = forms.ModelChoiceField(
        label="To",
        queryset=FirmwareRelease.objects.none(),
        empty_label="choose",
        help_text="A build on trial, allowed or preferred.",
    )
    because = forms.CharField(label="Why", max_length=200, error_messages=REASON)
    own = forms.CharField(
        label="Homes of the firm's own",
        required=False,
        max_length=400,
        help_text="Their codes, such as BENCH-0; with commas between.",
    )
    few = forms.IntegerField(
        label="Homes before the rest",
        required=False,
        min_value=0,
        help_text="Empty: as many as prove the build. They are drawn by lot, those with safety devices last.",
    )

    def __init__(self, *args: object, model: RadioModel, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        releases = model.releases.select_related("model")
        self.fields["source"].queryset = releases
        tried = [state.value for state in MAY_BE_TRIED]
        self.fields["target"].queryset = releases.filter(policy__in=tried)
        for kind in RingKind:
            self.fields[f"soak_{kind.value}"] = forms.IntegerField(
                label=f"Soak days, {kind.words}",
                min_value=1,
                max_value=365,
                initial=SOAK_DAYS[kind],
                widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
            )
        for name in ("source", "target"):
            self.fields[name].label_from_instance = lambda row: (
                f"{row.version} ({row.get_policy_display().lower()})"
            )

    def clean_own(self) -> list[Site]:
        codes = [code.strip().upper() for code in self.cleaned_data["own"].split(",") if code.strip()]
        found = {site.code: site for site in Site.objects.filter(code__in=codes)}
        wrong = [code for code in codes if code not in found]
        if wrong:
            raise forms.ValidationError(f"There is no home {', '.join(wrong)} in this book.")
        return list(found.values())

    @property
    def wish(self) -> Wish:
        """What was typed, for the verb."""
        told = self.cleaned_data
        soak = {kind: told[f"soak_{kind.value}"] for kind in RingKind}
        return Wish(told["source"], told["target"], told["because"], told["own"], told["few"], soak)


class WordForm(forms.Form):
    """A reason in a few words."""

    because = forms.CharField(label="Why", max_length=200, error_messages=REASON)

    def __init__(self, *args: object, label: str = "Why", needed: bool = True, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["because"].label = label
        self.fields["because"].required = needed


class DrawForm(forms.Form):
    """How many homes more come before the rest."""

    homes = forms.IntegerField(label="How many more", min_value=1)


class RegressionForm(forms.Form):
    """What went worse after an update."""

    unit = forms.TypedChoiceField(label="After the update of", coerce=int)
    kind = forms.ChoiceField(label="What went worse", choices=Regression.choices, widget=forms.RadioSelect)
    what = forms.CharField(
        label="In a few words",
        max_length=200,
        error_messages={"required": "Say in a few words what happened."},
    )


class DeadForm(forms.Form):
    """A radio that never worked."""

    radio = forms.ModelChoiceField(
        label="Which radio", queryset=Radio.objects.none(), empty_label="choose a radio that never led a mesh"
    )
    on = forms.DateField(
        label="When it was found out", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    because = forms.CharField(
        label="What it did not do",
        max_length=200,
        error_messages={"required": "Say in a few words what it did not do."},
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        never = Radio.objects.filter(periods=None, dead_on_arrival_on=None)
        self.fields["radio"].queryset = never.select_related("model").order_by("code")
        self.fields["radio"].label_from_instance = lambda row: f"{row.code} {row.model}"


class ClaimForm(forms.Form):
    """When a claim was made."""

    on = forms.DateField(
        label="Claimed on", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
