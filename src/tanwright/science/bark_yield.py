"""How much bark a tree carries: from its diameter, or from the piece of trunk that is peeled.

Sources
-------
Jenkins, Chojnacky, Heath and Birdsey (2003), Forest Science 49:12-35 (key ``jenkins2003``):
above-ground dry biomass exp(b0 + b1 ln dbh) and component ratios exp(a0 + a1 / dbh); coefficients
read in two open copies. Largest diameters and scatter of the same paper from memory.
Bark densities and shares: US Forest Service species table (key ``fia-refspecies``), passed in.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from tanwright.errors import InputError
from tanwright.science.values import Floats, Value, not_negative, positive, share, within

Component = Literal["stem bark", "stem wood", "foliage", "coarse roots"]
Wood = Literal["softwood", "hardwood"]
SMALLEST_DBH_CM = 2.5
PEELABLE_SHARE = (0.50, 0.75)
"""Share of the stem bark that is peeled in practice (the clean lower stem), from memory."""


@dataclass(frozen=True)
class TreeGroup:
    """One species group of Jenkins et al. (2003); diameters in cm, mass in kg oven-dry."""

    key: str
    name: str
    b0: float
    b1: float
    wood: Wood
    largest_dbh_cm: float
    log_sd: float
    """Scatter of the logarithm of biomass about the line (root mean square error)."""


GROUPS: dict[str, TreeGroup] = {
    group.key: group
    for group in (
        TreeGroup("cedar", "cedar, larch", -2.0336, 2.2592, "softwood", 250.0, 0.29),
        TreeGroup("douglas-fir", "Douglas-fir", -2.2304, 2.4435, "softwood", 210.0, 0.22),
        TreeGroup("fir", "true fir, hemlock", -2.5384, 2.4814, "softwood", 230.0, 0.18),
        TreeGroup("pine", "pine", -2.5356, 2.4349, "softwood", 180.0, 0.25),
        TreeGroup("spruce", "spruce", -2.0773, 2.3323, "softwood", 250.0, 0.25),
        TreeGroup(
            "willow", "aspen, alder, cottonwood, willow", -2.2094, 2.3867, "hardwood", 70.0, 0.51
        ),
        TreeGroup("birch", "soft maple, birch", -1.9123, 2.3651, "hardwood", 66.0, 0.49),
        TreeGroup("mixed", "mixed hardwood", -2.4800, 2.4835, "hardwood", 56.0, 0.36),
        TreeGroup(
            "oak", "hard maple, oak, hickory, beech", -2.0127, 2.4342, "hardwood", 73.0, 0.24
        ),
        TreeGroup("woodland-juniper", "woodland juniper", -0.7152, 1.7029, "softwood", 78.0, 0.38),
        TreeGroup(
            "woodland-oak", "woodland oak, mesquite", -0.7152, 1.7029, "hardwood", 78.0, 0.38
        ),
    )
}
"""Groups by key. The woodland groups take the diameter at the root collar, not at breast height."""

RATIOS: dict[Wood, dict[Component, tuple[float, float]]] = {
    "softwood": {
        "stem bark": (-2.0980, -1.1432),
        "stem wood": (-0.3737, -1.8055),
        "foliage": (-2.9584, 4.4766),
        "coarse roots": (-1.5619, 0.6614),
    },
    "hardwood": {
        "stem bark": (-2.0129, -1.6805),
        "stem wood": (-0.3065, -5.4240),
        "foliage": (-4.0813, 5.8816),
        "coarse roots": (-1.6911, 0.8160),
    },
}

_GENERA: dict[str, str] = {
    "cedar": "calocedrus chamaecyparis cupressus juniperus larix sequoia sequoiadendron taxodium "
    "thuja cedrus cryptomeria dacrydium",
    "douglas-fir": "pseudotsuga",
    "fir": "abies tsuga",
    "pine": "pinus",
    "spruce": "picea",
    "willow": "alnus populus salix",
    "birch": "betula",
    "woodland-oak": "prosopis neltuma",
    "oak": "quercus carya fagus",
    "mixed": "acer acacia aesculus arbutus castanea celtis cornus corylus eucalyptus fraxinus "
    "ilex juglans lithocarpus liquidambar liriodendron magnolia malus morus notholithocarpus nyssa "
    "platanus prunus pyrus rhus robinia sorbus tilia ulmus umbellularia",
}
_SPECIES = {
    "acer rubrum": "birch",
    "acer saccharinum": "birch",
    "acer negundo": "birch",
    "acer saccharum": "oak",
}


def group_of(scientific_name: str) -> TreeGroup:
    """The group of a tree by its genus ("Quercus", "Quercus robur"), some maples by species.

    Trees the paper does not treat stand under the nearest group; that widens nothing here, so the
    caller should. Raises InputError when the genus has none.
    """
    words = scientific_name.lower().split()
    species = _SPECIES.get(" ".join(words[:2]))
    if species is not None:
        return GROUPS[species]
    genus = words[0] if words else ""
    for key, genera in _GENERA.items():
        if genus in genera.split():
            return GROUPS[key]
    raise InputError(
        f"no biomass group for the tree {scientific_name!r}",
        remedy=f"name one of the groups {', '.join(GROUPS)}",
    )


def tree_group(key: str) -> TreeGroup:
    """The group with that key. Raises InputError naming the groups there are."""
    if key in GROUPS:
        return GROUPS[key]
    raise InputError(f"unknown tree group {key!r}", remedy=f"use one of {', '.join(GROUPS)}")


def above_ground_kg(dbh_cm: Value, group: TreeGroup) -> Floats:
    """Oven-dry mass of the tree above ground in kg, any shape of diameter at breast height.

    Raises InputError below 2.5 cm or above the largest tree behind the equation.
    """
    within_group = within(
        dbh_cm,
        SMALLEST_DBH_CM,
        group.largest_dbh_cm,
        f"diameter in cm of {group.name}",
        remedy="the equation was fitted to trees within that range",
    )
    return np.asarray(np.exp(group.b0 + group.b1 * np.log(within_group)))


def component_ratio(dbh_cm: Value, wood: Wood, component: Component) -> Floats:
    """Share of the above-ground mass in one component, exp(a0 + a1 / dbh)."""
    a0, a1 = RATIOS[wood][component]
    return np.asarray(np.exp(a0 + a1 / within(dbh_cm, SMALLEST_DBH_CM, 300.0, "diameter in cm")))


def component_kg(dbh_cm: Value, group: TreeGroup, component: Component) -> Floats:
    """Oven-dry mass of one component in kg. Stem bark leaves out that of branches."""
    return np.asarray(
        above_ground_kg(dbh_cm, group) * component_ratio(dbh_cm, group.wood, component)
    )


def stem_bark_kg(dbh_cm: Value, group: TreeGroup) -> Floats:
    """Oven-dry bark on the stem in kg."""
    return component_kg(dbh_cm, group, "stem bark")


def peelable_kg(bark_kg: Value, peelable_share: Value) -> Floats:
    """Bark that comes off in practice; ``peelable_share`` within :data:`PEELABLE_SHARE` or so."""
    return np.asarray(not_negative(bark_kg, "bark") * share(peelable_share, "peelable share"))


def section_bark_l(diameter_cm: Value, length_m: Value, bark_mm: Value) -> Floats:
    """Volume in L of the bark on a piece of trunk: pi (D - t) t length, D over bark.

    Raises InputError when the bark is thicker than the radius.
    """
    across = positive(diameter_cm, "diameter") / 100.0
    thick = positive(bark_mm, "bark thickness") / 1000.0
    if np.any(2.0 * thick > across):
        raise InputError("the bark is thicker than the trunk is", remedy="give the bark in mm")
    return np.asarray(1000.0 * np.pi * (across - thick) * thick * positive(length_m, "length"))


def bark_mass_kg(bark_l: Value, basic_density_kg_per_l: Value) -> Floats:
    """Oven-dry mass of bark from its green volume; density dry over green volume, 0.3 to 0.7."""
    dense = within(basic_density_kg_per_l, 0.1, 1.5, "bark density")
    return np.asarray(not_negative(bark_l, "bark volume") * dense)


def section_bark_of_wood_l(wood_l: Value, bark_per_wood: Value) -> Floats:
    """Volume in L of the bark on a log of ``wood_l`` under bark; share as the FIA table gives it.

    That table (fia-refspecies) counts bark on the volume of the wood, not of the whole stem.
    """
    return np.asarray(not_negative(wood_l, "wood volume") * share(bark_per_wood, "bark share"))


def wet_basis(moisture_of_dry: Value) -> Floats:
    """Water over wet mass from water over dry mass: m / (1 + m); 0.889 gives 0.471."""
    wet = not_negative(moisture_of_dry, "moisture on dry mass")
    return np.asarray(wet / (1.0 + wet))


def green_from_dry_kg(dry_kg: Value, moisture_of_dry: Value) -> Floats:
    """Mass of green bark from its oven-dry mass and green moisture on dry mass."""
    wet = not_negative(moisture_of_dry, "moisture on dry mass")
    return np.asarray(not_negative(dry_kg, "dry mass") * (1.0 + wet))
