"""The jars of a trial: liquor and material in each, so that the ratios of the real vat are kept."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from tanwright.errors import InputError
from tanwright.planning.trials.design import Design
from tanwright.reference import materials
from tanwright.reference.priors import moisture_prior
from tanwright.science.extraction import AIR_DRY_MOISTURE
from tanwright.science.hide import PELT_DENSITY_KG_PER_L
from tanwright.units import format_mass, format_volume

LITRES_PER_KG: Final = 5.0
"""Liquor to wet pelt when nobody says: enough to float it (common practice)."""
SMALL_JAR_L: Final = 0.25
"""Less than this hardly covers a patch, and cools and evaporates at once (from memory)."""
HEADSPACE: Final = 1.2
"""A jar is this much larger than what stands in it (from memory)."""
SPARE: Final = 1.1
"""So much more is put on the shopping list than the jars hold: sieving and spilling (memory)."""
MOST_LITRES: Final = 200.0


@dataclass(frozen=True)
class Ratios:
    """What is kept of the real vat.

    Attributes
    ----------
    litres_per_kg:
        Liquor to wet pelt, L/kg.
    dose:
        Dry material over the whole tannage to wet pelt, kg/kg.
    shares:
        Of the usual material, for treatments that do not name their own.
    """

    litres_per_kg: float
    dose: float
    shares: Mapping[str, float]

    def __post_init__(self) -> None:
        if not 0.5 <= self.litres_per_kg <= 300.0:
            raise InputError(
                f"{self.litres_per_kg:g} litres of liquor to a kg of pelt cannot be right",
                place="liquor",
                remedy="most vats hold 3 to 10 litres to a kg",
            )
        if not 0.02 <= self.dose <= 20.0:
            raise InputError(
                f"{self.dose:g} kg of dry material to a kg of pelt cannot be right",
                place="dose",
                remedy="most tannages take 0.5 to 4 kg to a kg",
            )


@dataclass(frozen=True)
class Pieces:
    """How large the patches are, wet and ready for the vat."""

    width_cm: float
    height_cm: float
    thickness_mm: float

    @property
    def kg(self) -> float:
        """Wet pelt of one patch: size x thickness x density."""
        volume_l = self.width_cm * self.height_cm * self.thickness_mm / 1e4
        return volume_l * PELT_DENSITY_KG_PER_L

    @property
    def area_m2(self) -> float:
        """Area of one patch."""
        return self.width_cm * self.height_cm / 1e4


@dataclass(frozen=True)
class JarPlan:
    """One jar.

    Attributes
    ----------
    number:
        As written on its lid.
    treatment:
        Key.
    patches:
        How many lie in it.
    pelt_kg, area_m2:
        Of its patches together.
    litres:
        Of liquor.
    dry_kg:
        Air-dry kg of each material over the whole trial.
    pretreatment:
        What is done to its patches before, in words.
    """

    number: int
    treatment: str
    patches: int
    pelt_kg: float
    area_m2: float
    litres: float
    dry_kg: Mapping[str, float]
    pretreatment: str = ""

    @property
    def holds_l(self) -> float:
        """A jar of at least this size."""
        return HEADSPACE * (self.litres + self.pelt_kg / PELT_DENSITY_KG_PER_L)


@dataclass(frozen=True)
class InHand:
    """A lot that the jars may be filled from: kg as it lies, ``None`` when it was never weighed."""

    key: str
    name: str
    material_id: str
    state: str
    kg: float | None


@dataclass(frozen=True)
class Bought:
    """One line of the shopping list: air-dry kg, kg as it lies from each lot, and the gap."""

    material_id: str
    name: str
    dry_kg: float
    from_lots: Mapping[str, float]
    missing_kg: float

    @property
    def words(self) -> str:
        """In one line, metric."""
        text = f"{self.name}: {format_mass(self.dry_kg)} air-dry"
        if self.missing_kg > 1e-4:
            text += f"; {format_mass(self.missing_kg)} more to be gathered or bought"
        return text


def plan_jars(design: Design, pieces: Pieces, ratios: Ratios) -> tuple[JarPlan, ...]:
    """The jars of ``design``, in order of number.

    Raises InputError for patches that no jar can hold, or a treatment without a material.
    """
    by_key = {item.key: item for item in design.treatments}
    found = []
    for jar, key in design.of_jar.items():
        treatment = by_key[key]
        many = sum(patch.jar == jar for patch in design.patches)
        pelt_kg = many * pieces.kg
        shares = treatment.shares or ratios.shares
        if not shares:
            raise InputError(
                f"nobody said what {treatment.label} is tanned with",
                place="treatments",
                remedy="name its plant, or the usual one of the vat",
            )
        whole = pelt_kg * (treatment.dose or ratios.dose)
        litres = pelt_kg * ratios.litres_per_kg
        if litres > MOST_LITRES:
            raise InputError(
                f"jar {jar} would hold {format_volume(litres)}",
                place="patches",
                remedy="check the size of the patches and the liquor to a kg of pelt",
            )
        found.append(
            JarPlan(
                number=int(jar),
                treatment=key,
                patches=many,
                pelt_kg=pelt_kg,
                area_m2=many * pieces.area_m2,
                litres=litres,
                dry_kg={id: part * whole for id, part in shares.items()},
                pretreatment=treatment.pretreatment,
            )
        )
    return tuple(found)


def lies_kg(material_id: str, dry_kg: float, state: str) -> float:
    """Kg as it lies that hold ``dry_kg`` of air-dry material; fresh material holds more water."""
    if state != "fresh":
        return dry_kg
    water = moisture_prior(material_id, "fresh").median
    return dry_kg * (1.0 - AIR_DRY_MOISTURE) / (1.0 - water)


def shopping(jars: Sequence[JarPlan], lots: Sequence[InHand] = ()) -> tuple[Bought, ...]:
    """One list for all jars, with a tenth to spare, held against the lots in hand.

    Lots of one material are used in the order given; one that was never weighed is taken to be
    enough.
    """
    wanted: defaultdict[str, float] = defaultdict(float)
    for jar in jars:
        for id, kg in jar.dry_kg.items():
            wanted[id] += SPARE * kg
    found = []
    for id, dry_kg in wanted.items():
        open_kg, taken = dry_kg, {}
        for lot in lots:
            if lot.material_id != id or open_kg <= 1e-9:
                continue
            needs = lies_kg(id, open_kg, lot.state)
            takes = needs if lot.kg is None else min(needs, max(lot.kg, 0.0))
            if takes > 0.0:
                taken[lot.key] = takes
                open_kg -= open_kg * takes / needs
        missing = open_kg if open_kg > 1e-6 * dry_kg else 0.0
        found.append(Bought(id, materials.material(id).name, dry_kg, taken, missing))
    return tuple(found)


def lots_of(jar: JarPlan, bought: Sequence[Bought]) -> dict[str, float]:
    """Kg as it lies of each lot for one jar: its part of what the list takes from that lot."""
    found: dict[str, float] = {}
    for line in bought:
        dry = jar.dry_kg.get(line.material_id, 0.0)
        for key, kg in line.from_lots.items():
            if dry > 0.0:
                found[key] = kg * dry / line.dry_kg
    return found


def jar_notes(jars: Sequence[JarPlan], pieces: Pieces) -> tuple[str, ...]:
    """What stands out, in plain sentences."""
    said = []
    smallest = min(jars, key=lambda jar: jar.litres)
    if smallest.litres < SMALL_JAR_L:
        said.append(
            f"Jar {smallest.number} holds only {smallest.litres:.2g} L: take a narrow "
            "jar, stand the patches upright, and top up with water to the old mark."
        )
    if max(jar.litres for jar in jars) > 3.0:
        said.append("The larger jars are buckets: the same lid and the same place for all of them.")
    if pieces.thickness_mm > 5.0:
        said.append("Patches this thick take as long as a whole skin of their thickness.")
    return tuple(said)
