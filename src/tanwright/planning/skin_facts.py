"""What a sheet says of its skins, with every gap filled: priors of pelt, thickness and weight."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tanwright.errors import InputError
from tanwright.planning import sheet as sheets
from tanwright.reference import animals, parameters
from tanwright.science.belief.unknowns import Unknown

Z95 = 1.645
"""Standard normal at 95 %: a printed range is read as the 5th to 95th percentile."""

AREA_SPREAD = 0.06
"""Log spread of an area measured with a tape (from memory)."""


@dataclass(frozen=True)
class SkinFacts:
    """One entry of skins: priors of the pelt of one skin [kg] and of its mean thickness [mm]."""

    name: str
    count: int
    hair_on: bool
    weight_kg: float | None
    stage: str
    pelt: Unknown
    thickness: Unknown
    weight: Unknown
    """Weight of one skin at ``stage``, kg."""
    area_known: bool = False
    """The area was given: thickness then follows from the pelt, and ``thickness`` tells only how
    far the area may be off."""


def _range_log(low: float, high: float) -> tuple[float, float]:
    """Median and log spread of a range read as 5th to 95th percentile."""
    return math.sqrt(low * high), math.log(high / low) / (2.0 * Z95)


def skin_facts(index: int, skin: sheets.Skin, notes: list[str]) -> SkinFacts:
    """One entry of skins with its gaps filled; defaults taken are told in ``notes``.

    Raises InputError for a skin of which nothing says how large it is.
    """
    animal = animals.animal(skin.animal) if skin.animal else None
    share = animal.skin_share if animal else (0.5, 0.95)
    share_median, share_spread = _range_log(*share)
    density = parameters.parameter("pelt_density").median
    factor, factor_spread = _pelt_factor(skin.stage, share_median, share_spread)
    weight, weight_spread = _weight(skin, animal, factor, notes)
    pelt, pelt_spread = weight * factor, math.hypot(weight_spread, factor_spread)
    thickness, thickness_spread = _thickness(skin, animal, weight * _to_green(skin.stage), notes)
    if skin.area_m2 is not None and skin.thickness_mm is not None:
        # Area and thickness say what the pelt weighs better than a share of the green weight.
        pelt = skin.area_m2 * skin.thickness_mm * density
        pelt_spread = math.hypot(thickness_spread, AREA_SPREAD)
    if skin.area_m2 is not None:
        thickness, thickness_spread = pelt / (skin.area_m2 * density), AREA_SPREAD
    said = f" ({skin.name})" if skin.name else ""
    return SkinFacts(
        name=skin.name,
        count=skin.count,
        hair_on=skin.hair_on,
        weight_kg=skin.weight_kg,
        stage=skin.stage,
        pelt=Unknown(
            f"pelt:{index}", f"how much pelt the skin gives{said}", pelt, max(pelt_spread, 0.03),
            "log", "kg", ("memory",),
        ),
        thickness=Unknown(
            f"thickness:{index}",
            f"how {'large' if skin.area_m2 else 'thick'} the skin is{said}", thickness,
            max(thickness_spread, 0.03), "log", "mm", ("memory",),
        ),
        weight=Unknown(
            f"weight:{index}", f"what the skin weighs{said}", weight, weight_spread, "log", "kg",
            ("memory",),
        ),
        area_known=skin.area_m2 is not None,
    )  # fmt: skip


def _weight(
    skin: sheets.Skin, animal: animals.Animal | None, factor: float, notes: list[str]
) -> tuple[float, float]:
    """Median [kg] and log spread of one skin's weight at its stage, of which ``factor`` is pelt."""
    if skin.weight_kg is not None:
        return skin.weight_kg, 0.0
    if animal is not None:
        low, high = animal.green_kg
        middle, spread = _range_log(low, high)
        if skin.area_m2 is None or skin.thickness_mm is None:
            notes.append(
                f"No weight was given for the {skin.name}: {low:g} to {high:g} kg green is taken."
            )
        return middle / _to_green(skin.stage), spread
    if skin.thickness_mm is None:
        raise InputError(
            f"nothing says how large the {skin.name or 'skin'} is",
            place="[[skin]]",
            remedy='write weight = "2.4 kg", or an animal',
        )
    density = parameters.parameter("pelt_density").median
    if skin.area_m2 is not None:
        return skin.area_m2 * skin.thickness_mm * density / factor, 0.15
    low, high = _usual_area_m2(skin.thickness_mm)
    middle, spread = _range_log(low, high)
    notes.append(
        f"Nothing says how large the {skin.name or 'skin'} is: {low:g} to {high:g} m² is taken, as "
        "skins of that thickness have."
    )
    return middle * skin.thickness_mm * density / factor, spread


def _usual_area_m2(thickness_mm: float) -> tuple[float, float]:
    """Area of the animals of the reference whose skins are about so thick, low and high."""

    def away(animal: animals.Animal) -> float:
        low, high = animal.thickness_mm
        return max(low / thickness_mm, thickness_mm / high, 1.0)

    nearest = min(away(animal) for animal in animals.animals())
    kin = [animal for animal in animals.animals() if away(animal) <= max(1.25, nearest)]
    return min(a.area_low_m2 for a in kin), max(a.area_high_m2 for a in kin)


def _to_green(stage: str) -> float:
    """Green weight per weight at ``stage``."""
    record = animals.stage(stage)
    return 1.0 / math.sqrt(record.to_green[0] * record.to_green[1])


def _pelt_factor(stage: str, share: float, share_spread: float) -> tuple[float, float]:
    """Pelt per weight at ``stage``, and its log spread."""
    if stage in ("limed", "delimed"):
        return 1.0, 0.05
    record = animals.stage(stage)
    spread = math.log(record.to_green[1] / record.to_green[0]) / (2.0 * Z95)
    return _to_green(stage) * share, math.hypot(share_spread, spread)


def _thickness(
    skin: sheets.Skin, animal: animals.Animal | None, green_kg: float, notes: list[str]
) -> tuple[float, float]:
    """Median [mm] and log spread of the mean thickness of the pelt."""
    if skin.thickness_mm is not None:
        ratio = max(parameters.parameter("thick_place").median, 1.0)
        notes.append(
            f"The {skin.thickness_mm:.2g} mm given for the {skin.name} are taken as its usual "
            f"thickness, and neck and haunch as about {skin.thickness_mm * ratio:.2g} mm. Measured "
            f'at the neck? Then write thickness = "{skin.thickness_mm / ratio:.2g} mm".'
        )
        return skin.thickness_mm, parameters.parameter("thickness_error").spread
    if animal is None:
        raise InputError(
            "a skin without an animal needs its thickness",
            place="[[skin]]",
            remedy='write thickness = "2 mm", or an animal',
        )
    middle, spread = _range_log(*animal.thickness_mm)
    usual, _ = _range_log(*animal.green_kg)
    # Skins of one kind of animal scale alike: thickness with the cube root of the weight.
    middle *= min(max(green_kg / usual, 0.25), 4.0) ** (1.0 / 3.0)
    notes.append(
        f"No thickness was given for the {skin.name}: about {middle:.1f} mm is taken "
        "(time grows with its square)."
    )
    return middle, spread
