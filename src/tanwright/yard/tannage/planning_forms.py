"""Forms of the short path to a new tannage: one for each small page, all of it with defaults."""

from __future__ import annotations

from typing import Any, Final

from django import forms

from tanwright.reference.animals import animals
from tanwright.reference.leathers import leathers
from tanwright.units import System, format_mass
from tanwright.yard.shell.fields import MassField, TemperatureField, ThicknessField, WholeField
from tanwright.yard.shell.forms import YardForm
from tanwright.yard.skins.entry_kinds import KEEPINGS
from tanwright.yard.skins.models import Skin
from tanwright.yard.stock.fields import CountedMassField, CountedVolumeField, PlantField
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.plants import name_of
from tanwright.yard.tannage.models import Tannage, TannageSkin

MOST_CHOICES: Final = 60
DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class SkinsForm(YardForm):
    """Skins that are on the list, or a new one."""

    skins = forms.MultipleChoiceField(
        label="Skins on your list", required=False, widget=forms.CheckboxSelectMultiple
    )
    animal = forms.ChoiceField(label="Or a new skin of", required=False)
    keeping = forms.ChoiceField(
        label="How it lies now",
        required=False,
        choices=list(KEEPINGS.items()),
        initial="frozen",
        help_text="A skin that you only think of: leave it at frozen.",
    )
    kg = MassField(
        label="Weight of one",
        required=False,
        help_text="Raw, as it lies now. Left empty, the usual weight is taken; "
        "weighed, the amount of bark is known far better.",
    )
    count = WholeField(label="How many such skins", min_value=1, max_value=200, initial=1)
    thickness_mm = ThicknessField(
        label="Thickness",
        required=False,
        help_text="A fold measured and halved. The time grows with its square: nothing tells the "
        "finish day better before the start.",
    )
    hair_on = forms.BooleanField(label="The hair stays on", required=False)

    def __init__(self, *args: Any, tannage: Tannage | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["animal"].choices = [  # type: ignore[attr-defined]
            ("", "none"), *((item.name, item.name) for item in animals())
        ]  # fmt: skip
        chosen = list(tannage.skins.all()) if tannage else []
        elsewhere = TannageSkin.objects.filter(
            taken_out_at=None, tannage__state=Tannage.State.RUNNING
        ).values("skin")
        free = (
            Skin.objects.filter(withdrawn_at=None)
            .exclude(pk__in=elsewhere)
            .exclude(stage__in=("vat", "leather"))
            .exclude(pk__in=[skin.pk for skin in chosen])[:MOST_CHOICES]
        )
        choices = [(str(skin.pk), _skin_words(skin)) for skin in (*chosen, *free)]
        self.fields["skins"].choices = choices  # type: ignore[attr-defined]
        if not choices:
            del self.fields["skins"]
            self.fields["animal"].label = "A skin of"
        self.initial.setdefault("skins", [str(skin.pk) for skin in chosen])

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if not self.errors and not found.get("skins") and not found.get("animal"):
            self.add_error("animal", "Choose a skin of your list, or an animal for a new one.")
        return found


def _skin_words(skin: Skin) -> str:
    animal = skin.animal or "another animal"
    many = f"{skin.count} of {animal}" if skin.count > 1 else animal
    return f"{skin.title}, {many}, {skin.stage}"


class PlantsForm(YardForm):
    """Lots that are on the list, a new pile, or a plant that would have to be gathered."""

    lots = forms.MultipleChoiceField(
        label="Piles on your list", required=False, widget=forms.CheckboxSelectMultiple
    )
    plant = PlantField(
        label="Or another plant",
        required=False,
        help_text="Like English oak bark, or unknown bark. Be sure which plant it is: some "
        "look-alikes are poisonous.",
    )
    kg = CountedMassField(
        label="How much of it you have",
        required=False,
        help_text="Left empty, the answer tells how much there is to gather.",
    )

    def __init__(self, *args: Any, tannage: Tannage | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        uses = list(tannage.materials.select_related("lot")) if tannage else []
        chosen = [use.lot for use in uses if use.lot is not None]
        wanted = [use.material_id for use in uses if use.lot is None]
        free = Lot.objects.filter(withdrawn_at=None).exclude(
            pk__in=[lot.pk for lot in chosen]
        )[:MOST_CHOICES]  # fmt: skip
        choices = [
            (str(lot.pk), _lot_words(lot, self.system))
            for lot in (*chosen, *(lot for lot in free if lot.left_kg != 0.0))
        ]
        self.fields["lots"].choices = choices  # type: ignore[attr-defined]
        if not choices:
            del self.fields["lots"]
            self.fields["plant"].label = "Plant"
        self.initial.setdefault("lots", [str(lot.pk) for lot in chosen])
        self.initial.setdefault("plant", name_of(wanted[0]) if wanted else "")

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if not self.errors and not found.get("lots") and not found.get("plant"):
            self.add_error("plant", "Choose a pile, or write the plant that you think of.")
        return found


def _lot_words(lot: Lot, system: System) -> str:
    left = "not weighed" if lot.left_kg is None else f"{format_mass(lot.left_kg, system)} left"
    return f"{lot.title}, {name_of(lot.material_id)}, {left}"


class VatForm(YardForm):
    """The vat and how cold it stands."""

    vat = forms.CharField(label="Which vat", max_length=60, required=False)
    vat_volume_l = CountedVolumeField(
        label="What it holds",
        required=False,
        help_text="With the skins in it. Left empty: enough for them to float. A tight vat needs "
        "less bark, and folds stay pale in it.",
    )
    temperature_c = TemperatureField(
        label="How warm it stands",
        required=False,
        least=-5.0,
        most=35.0,
        help_text="A cold vat is slower: 8 instead of 18 °C (46 instead of 64 °F) may double the "
        "time.",
    )
    move = forms.ChoiceField(
        label="How often the skins will be moved",
        required=False,
        choices=(
            ("", "not said: about once a day is taken"),
            ("still", "hardly ever"),
            ("daily", "about once a day"),
            ("often", "several times a day"),
        ),
    )
    water = forms.ChoiceField(
        label="Water",
        required=False,
        choices=(("", "not said"), ("rain", "rain"), ("soft", "soft"), ("tap", "tap"),
                 ("hard", "hard: it binds some tannin")),
    )  # fmt: skip


class AimForm(YardForm):
    """Which leather, and when."""

    leather = forms.ChoiceField(label="Which leather", required=False)
    start = forms.DateField(label="The skins go in on", required=False, widget=DAY)
    wanted_by = forms.DateField(
        label="Wanted by",
        required=False,
        widget=DAY,
        help_text="Then the answer says how likely it is ready.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["leather"].choices = [  # type: ignore[attr-defined]
            ("", "the usual one for the skin"),
            *((item.id, f"{item.id}: {item.label}") for item in leathers()),
        ]

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        start, wanted = found.get("start"), found.get("wanted_by")
        if start and wanted and wanted <= start:
            self.add_error("wanted_by", "This is not after the start; write a later day.")
        for name in ("start", "wanted_by"):
            if found.get(name) and not 2000 <= found[name].year <= 2100:
                self.add_error(name, "Write a day of these years.")
        return found
