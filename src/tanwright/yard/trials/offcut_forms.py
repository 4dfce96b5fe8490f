"""Forms of offcuts: by a usual shape, by measures, drawn, from a file; and how patches are laid."""

from __future__ import annotations

from typing import Any, ClassVar, Final

from django import forms

from tanwright.errors import TanwrightError
from tanwright.planning.trials.cutting import Cut
from tanwright.planning.trials.offcuts import (
    outline_from_text,
    usual_outline,
    widths_from_text,
)
from tanwright.planning.trials.outline_files import MOST_BYTES, outlines_of_file
from tanwright.reference.animals import animals, regions
from tanwright.reference.offcuts import offcut_shape, offcut_shapes
from tanwright.science.trials.outlines import Outline, from_widths, rectangle
from tanwright.science.trials.packing import LEAST_PATCH_CM
from tanwright.yard.shell.fields import MassField, NumberField, WholeField
from tanwright.yard.shell.forms import YardForm
from tanwright.yard.skins.models import Skin
from tanwright.yard.trials.planning_forms import MOST_CHOICES, CmField

MOST_ALIKE: Final = 8


class LongField(CmField):
    """A length of an offcut."""

    most: ClassVar = 500.0


class SmallField(CmField):
    """A gap or a margin, nought among them."""

    least: ClassVar = 0.0
    most: ClassVar = 10.0


class OffcutForm(YardForm):
    """What every way of adding an offcut asks: which skin, where on it."""

    skin = forms.ChoiceField(label="From which skin", required=False)
    region = forms.ChoiceField(
        label="From where on the skin",
        choices=[(region.id, region.name) for region in regions()],
        initial="shanks",
        help_text="Patches of one region are compared with each other.",
    )
    label = forms.CharField(
        label="Own name", max_length=60, required=False, help_text="Like left hind leg."
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        skins = Skin.objects.filter(withdrawn_at=None).exclude(stage="leather")[:MOST_CHOICES]
        self.fields["skin"].choices = [  # type: ignore[attr-defined]
            ("", "not on the list"), *((str(skin.pk), skin.title) for skin in skins)
        ]  # fmt: skip
        self.outlines: list[tuple[str, Outline]] = []

    def chosen_skin(self) -> Skin | None:
        """The skin of a valid form."""
        pk = self.cleaned_data.get("skin")
        return Skin.objects.filter(pk=pk).first() if pk else None

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        if not self.errors:
            try:
                self.outlines = self.drawn(said)
            except TanwrightError as error:
                self.add_problem(error, self.blamed)
        return said

    blamed: ClassVar[str] = ""
    """Field beside which a refused outline is told."""

    def drawn(self, said: dict[str, Any]) -> list[tuple[str, Outline]]:
        """Label and outline of each offcut that the answers make. Raises InputError."""
        raise NotImplementedError


class UsualForm(OffcutForm):
    """A usual piece, sized by the animal and the weight of its skin."""

    shape = forms.ChoiceField(
        label="Which piece",
        choices=[(item.id, item.name) for item in offcut_shapes()],
        widget=forms.RadioSelect,
        initial="hind-leg",
    )
    animal = forms.ChoiceField(
        label="Animal",
        choices=[(item.id, item.name) for item in animals()],
        initial="goat",
    )
    green_kg = MassField(
        label="Weight of the whole skin as it came off",
        required=False,
        least=0.01,
        most=150.0,
        help_text="Left empty, a middling skin is taken.",
    )
    alike = WholeField(label="How many such pieces", min_value=1, max_value=MOST_ALIKE, initial=2)
    field_order = ("shape", "animal", "green_kg", "alike", "skin", "label")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["region"]

    def drawn(self, said: dict[str, Any]) -> list[tuple[str, Outline]]:
        outline = usual_outline(said["shape"], said["animal"], green_kg=said["green_kg"])
        label = said["label"] or offcut_shape(said["shape"]).name
        many = said["alike"]
        return [(f"{label} {at}" if many > 1 else label, outline) for at in range(1, many + 1)]

    def region_of(self) -> str:
        """The region of the chosen shape."""
        return offcut_shape(self.cleaned_data["shape"]).region


class MeasuresForm(OffcutForm):
    """A length, and widths across it."""

    length_cm = LongField(label="Length")
    widths = forms.CharField(
        label="Widths across, cm",
        max_length=200,
        help_text="One for a rectangle, one at each end for a piece that narrows, or more, evenly "
        "spaced from end to end: 24 20 16 12 9.",
    )
    field_order = ("length_cm", "widths", "region", "skin", "label")
    blamed = "widths"

    def drawn(self, said: dict[str, Any]) -> list[tuple[str, Outline]]:
        widths = widths_from_text(said["widths"])
        length = said["length_cm"]
        made = rectangle(length, widths[0]) if len(widths) == 1 else from_widths(length, widths)
        return [(said["label"], made)]


class DrawnForm(OffcutForm):
    """Points going round, drawn on the page or written."""

    points = forms.CharField(
        label="Points going round, x, y in cm",
        max_length=60_000,
        widget=forms.Textarea(attrs={"rows": 10, "spellcheck": "false", "autocomplete": "off"}),
        help_text="One point a line, like 12.5, 3. An empty line begins a flaw: a hole or scar.",
    )
    field_order = ("points", "region", "skin", "label")
    blamed = "points"

    def drawn(self, said: dict[str, Any]) -> list[tuple[str, Outline]]:
        return [(said["label"], outline_from_text(said["points"]))]


class FileForm(OffcutForm):
    """Outlines from a drawing or from GeoJSON."""

    file = forms.FileField(
        label="File",
        help_text="SVG with a size in mm or cm, or GeoJSON whose numbers are cm. A ring inside "
        "another is a flaw.",
        widget=forms.FileInput(attrs={"accept": ".svg,.geojson,.json"}),
    )
    cm_per_unit = NumberField(
        label="Cm for one unit of the drawing",
        required=False,
        min_value=0.0001,
        max_value=1000.0,
        help_text="Only for an SVG that does not say how large it is.",
    )
    field_order = ("file", "cm_per_unit", "region", "skin", "label")
    blamed = "file"

    def drawn(self, said: dict[str, Any]) -> list[tuple[str, Outline]]:
        file = said["file"]
        found = outlines_of_file(
            file.name, file.read(MOST_BYTES + 1), cm_per_unit=said["cm_per_unit"]
        )
        return [(one.label or said["label"], one.outline) for one in found]


class LayForm(YardForm):
    """How large the patches are and what is kept between and around them."""

    width_cm = CmField(
        label="Side of a patch",
        least=LEAST_PATCH_CM,
        help_text="5 to 8 cm can be bent, cut and graded, and many fit on a leg.",
    )
    height_cm = CmField(
        label="Other side",
        least=LEAST_PATCH_CM,
        required=False,
        help_text="Left empty: a square.",
    )
    margin_cm = SmallField(
        label="Keep off the edge and flaws", help_text="Edges are thin and often torn."
    )
    gap_cm = SmallField(
        label="Between patches",
        help_text="0 for shears or a knife along a ruler; the breadth of the cut otherwise.",
    )
    most = WholeField(label="No more patches than", required=False, min_value=1, max_value=200)
    any_way = forms.BooleanField(
        label="They may lie any way round",
        required=False,
        help_text="Skin stretches differently along and across. Lying alike, patches differ less.",
    )

    def cut(self) -> Cut:
        """The answers of a valid form."""
        said = self.cleaned_data
        return Cut(
            width_cm=said["width_cm"],
            height_cm=said["height_cm"] or said["width_cm"],
            gap_cm=said["gap_cm"],
            margin_cm=said["margin_cm"],
            most=said["most"],
            alike=not said["any_way"],
        )


class MapForm(YardForm):
    """Which paper, and whether the treatments are printed."""

    paper = forms.ChoiceField(
        label="Paper", choices=(("a4", "A4"), ("us-letter", "Letter")), initial="a4"
    )
    treatments = forms.BooleanField(
        label="Print the treatments too",
        required=False,
        help_text="For who fills the jars; keep it from those who grade.",
    )


WAYS: Final[dict[str, tuple[type[OffcutForm], str, str, str]]] = {
    "usual": (
        UsualForm, "preset", "A usual piece",
        "A leg, the neck, a flank, as large as they are on such a skin. From memory: a piece that "
        "you measured is better.",
    ),
    "measures": (
        MeasuresForm, "measures", "By measures",
        "Lay a ruler along it, then measure across.",
    ),
    "drawn": (
        DrawnForm, "drawn", "Drawn by hand",
        "Lay the offcut on squared paper, and mark its bends on the sheet below.",
    ),
    "file": (FileForm, "file", "From a file", "A drawing that was made elsewhere."),
}  # fmt: skip
"""Form, how it is kept, heading and lead by the word in the address."""
