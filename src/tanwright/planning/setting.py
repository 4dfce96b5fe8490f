"""A sheet with every gap filled: the fixed facts of a tannage and its unknowns with their priors.

Where the sheet says nothing a default is taken and noted, so that the answer can say so.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from tanwright.errors import InputError
from tanwright.planning import sheet as sheets
from tanwright.planning.skin_facts import Z95, SkinFacts, skin_facts
from tanwright.reference import leathers, materials, parameters, priors
from tanwright.reference.priors import TanninPrior
from tanwright.science.belief.unknowns import Unknown
from tanwright.science.extraction import AIR_DRY_MOISTURE

MOST_KINDS = 4
"""Materials in one liquor that the solver follows side by side."""

FILM = {"still": 0.3, "daily": 1.0, "often": 3.0}
"""Factor on the liquor film at the faces by how often skins are moved (from memory)."""
MOVED = {"still": 0.8, "daily": 1.0, "often": 1.5}
"""Factor on diffusion: flexing pumps liquor (from memory; paddles and drums do far more)."""

ONE_FIGURE = 1.35
"""A single figure for the tannin is read as 5 to 95 % from figure/1.35 to figure*1.35 (from
memory)."""
MOST_TANNIN = 0.9
"""No material holds more."""

MOST_L_PER_KG_PELT = 300.0
"""A vat beyond this for each kg of pelt is a slip of the pen (from memory)."""
VAT_L_PER_KG_PELT = 5.0
"""Vat for the pelt if none is named: enough to float it (common practice)."""
DEFAULT_C = 14.0
UNSAID_WARMTH, UNSAID_MOVING = 0.2, 0.2
"""Log spread that 8 to 22 °C, or still to often moved, put on diffusion (from memory)."""
"""Temperature of a shed if none is named (from memory)."""

SHARED = (
    "diffusivity",
    "half_saturation",
    "binding_capacity",
    "binding_rate",
    "grain_openness",
    "film",
    "thick_place",
    "hide_substance_share",
    "spoilage",
    "solubles_per_degree",
    "colour_degree",
    "leather_degree",
    "extraction_factor",
)
"""Unknowns that every tannage has; the other rows of the table of parameters are taken as known."""


@dataclass(frozen=True)
class LotFacts:
    """One plant material with the priors of its strength, water and purity."""

    lot: sheets.Lot
    label: str
    part: str
    tannin: Unknown
    moisture: Unknown
    purity: Unknown
    prior: TanninPrior | None
    key: str = ""
    """Its id; a second lot of the same material has ``#2`` after it."""

    @property
    def material_id(self) -> str:
        """Reference id of the material."""
        return self.lot.material_id

    @property
    def air_dry_part(self) -> float:
        """Air-dry material in the mass as it lies, at the middle of its moisture."""
        return (1.0 - self.moisture.median) / (1.0 - AIR_DRY_MOISTURE)


@dataclass(frozen=True)
class Target:
    """The leather wanted: degree of tannage in g per g hide substance, and the ladder of strengths.

    Done needs ``low`` everywhere on the mean; amounts are worked out for ``degree``.
    """

    leather: str
    label: str
    degree: float
    low: float
    high: float
    start_bk: float
    step_bk: float
    finish_bk: float


@dataclass(frozen=True)
class Setting:
    """Everything about a tannage that is not an unknown."""

    sheet: sheets.Sheet
    start: date
    skins: tuple[SkinFacts, ...]
    lots: tuple[LotFacts, ...]
    target: Target
    vat_l: float
    pot_l: float
    film: float
    moved: float
    unknowns: tuple[Unknown, ...]
    notes: tuple[str, ...]

    def index(self, name: str) -> int:
        """Column of the unknown ``name`` in a matrix of worlds."""
        for column, unknown in enumerate(self.unknowns):
            if unknown.name == name:
                return column
        raise KeyError(name)

    def temperature_c(self, day: float) -> float:
        """Temperature of the vat on ``day`` after the start."""
        on = self.start + timedelta(days=math.floor(day))
        said = self.sheet.vat.temperature_on(on)
        return DEFAULT_C if said is None else said

    def day_of(self, when: date) -> float:
        """Days from the start to ``when``."""
        return float((when - self.start).days)


def settle(sheet: sheets.Sheet) -> Setting:
    """Fill the gaps of ``sheet``. Raises InputError for what cannot be planned."""
    notes = list(sheet.notes)
    skins = tuple(skin_facts(index, skin, notes) for index, skin in enumerate(sheet.skins))
    plants = _told_apart(tuple(_lot(lot, sheet) for lot in sheet.lots))
    notes += [
        f"{lot.label} is fresh: {lot.moisture.median:.0%} water is taken, and its tannin is "
        f"told of the fresh mass, {lot.air_dry_part:.2f} of what is published for dry material."
        for lot in plants
        if lot.lot.state == "fresh"
    ]
    if len(plants) > MOST_KINDS:
        raise InputError(
            f"{len(plants)} materials are more than one liquor can be followed with",
            place=f"{sheet.source}: [[material]]",
            remedy=f"name the {MOST_KINDS} that matter most, add the rest to the nearest of them",
        )
    target = _target(sheet.aim)
    pelt_kg = sum(skin.pelt.median * skin.count for skin in skins)
    vat_l = sheet.vat.volume_l
    if vat_l is None:
        vat_l = _round_up(VAT_L_PER_KG_PELT * pelt_kg)
        notes.append(
            f"No vat was named: {vat_l:g} L is taken, about {VAT_L_PER_KG_PELT:g} parts of liquor "
            "to 1 of pelt."
        )
    elif vat_l < 0.9 * pelt_kg:
        raise InputError(
            f"a vat of {vat_l:g} L is smaller than the skins in it ({pelt_kg:.1f} kg of pelt)",
            place=f"{sheet.source}: [vat], volume",
            remedy=f'write at least "{_round_up(2.5 * pelt_kg):g} L"',
        )
    elif vat_l > MOST_L_PER_KG_PELT * pelt_kg and vat_l > 100.0:
        raise InputError(
            f"a vat of {vat_l:g} L is out of all proportion to {pelt_kg:.1f} kg of pelt",
            place=f"{sheet.source}: [vat], volume",
            remedy=f'check the number; write for example "{_round_up(5.0 * pelt_kg):g} L"',
        )
    if sheet.tools.pot_l is not None and sheet.tools.pot_l < 0.5:
        raise InputError(
            f"a pot of {sheet.tools.pot_l:.3g} L is too small to cook in",
            place=f"{sheet.source}: [tools], pot",
            remedy='check the number and the unit; write for example "10 L"',
        )
    pot_l = sheet.tools.pot_l or min(max(vat_l, 5.0), 15.0)
    if sheet.tools.pot_l is None:
        notes.append(f"No pot was named: one of {pot_l:g} L is taken.")
    if not sheet.vat.temperature:
        notes.append(f"No temperature was named: about {DEFAULT_C:g} °C is taken.")
    if sheet.vat.move is None:
        notes.append("Nothing says how often the skins are moved: about once a day is taken.")
    if sheet.vat.water == "hard":
        notes.append(
            "Hard water leaves chalk in the grain of limed pelt and darkens some leathers: rain "
            "water, or boiled and cooled, is better (Procter 1903)."
        )
    move = sheet.vat.move or "daily"
    shared = [_loosened(parameters.parameter(name), sheet.vat) for name in SHARED]
    per_lot: list[Unknown] = []
    for lot in plants:
        per_lot += [lot.tannin, lot.moisture, lot.purity]
        if len(plants) > 1:
            per_lot += _kind_unknowns(lot) if lot.key == lot.material_id else []
    per_skin = [unknown for skin in skins for unknown in (skin.pelt, skin.thickness)]
    return Setting(
        sheet=sheet,
        start=sheet.aim.start,
        skins=skins,
        lots=plants,
        target=target,
        vat_l=vat_l,
        pot_l=pot_l,
        film=FILM[move],
        moved=MOVED[move],
        unknowns=tuple(u for u in (*per_lot, *per_skin, *shared) if u.spread > 0.0),
        notes=tuple(notes),
    )


def _loosened(unknown: Unknown, vat: sheets.Vat) -> Unknown:
    """How fast tannin moves is known less well when warmth or movement were not named."""
    if unknown.name != "diffusivity":
        return unknown
    spread = unknown.spread
    if not vat.temperature:
        spread = math.hypot(spread, UNSAID_WARMTH)
    if vat.move is None:
        spread = math.hypot(spread, UNSAID_MOVING)
    return replace(unknown, spread=spread)


def _kind_unknowns(lot: LotFacts) -> list[Unknown]:
    """How one material of a blend differs from the common tannin (from memory)."""
    name = lot.material_id
    return [
        Unknown(
            f"mobility:{name}", f"how fast {lot.label} moves", 1.0, 0.35, "log", "ratio",
            ("memory",),
        ),
        Unknown(
            f"affinity:{name}", f"how readily {lot.label} binds", 1.0, 0.25, "log", "ratio",
            ("memory",),
        ),
    ]  # fmt: skip


def _told_apart(lots: tuple[LotFacts, ...]) -> tuple[LotFacts, ...]:
    """The lots with keys, labels and names of unknowns that no two of them share."""
    found: list[LotFacts] = []
    for lot in lots:
        number = sum(other.material_id == lot.material_id for other in found) + 1
        key = lot.material_id if number == 1 else f"{lot.material_id}#{number}"
        label = lot.label
        if any(other.label == label for other in found):
            label = f"{label}, lot {number}"
        renamed = {
            name: replace(unknown, name=unknown.name.replace(lot.material_id, key))
            for name in ("tannin", "moisture", "purity")
            for unknown in (getattr(lot, name),)
        }
        found.append(replace(lot, key=key, label=label, **renamed))
    return tuple(found)


def _target(aim: sheets.Aim) -> Target:
    leather = leathers.leather(aim.leather)
    low, high = leather.degree[0] / 100.0, leather.degree[1] / 100.0
    if aim.degree_low is not None and aim.degree_high is not None:
        low, high = aim.degree_low / 100.0, aim.degree_high / 100.0
        if high - low < 0.05:
            low = 0.85 * high
    return Target(
        leather=aim.leather,
        label=leather.label,
        degree=0.5 * (low + high),
        low=low,
        high=high,
        start_bk=0.5 * sum(leather.start_bk),
        step_bk=0.5 * sum(leather.step_bk),
        finish_bk=0.5 * sum(leather.finish_bk),
    )


def _lot(lot: sheets.Lot, sheet: sheets.Sheet) -> LotFacts:
    material = materials.material(lot.material_id)
    prior = priors.tannin_prior(lot.material_id, lot.history)
    tannin = prior.unknown
    moisture = priors.moisture_prior(lot.material_id, lot.state)
    known = sheet.known_for(lot.material_id)
    if lot.tannin is not None:
        # Of the mass as it lies: then the water in it is no matter of its own.
        moisture = replace(moisture, spread=0.0)
        tannin = _told(tannin, lot.tannin, (1.0 - AIR_DRY_MOISTURE) / (1.0 - moisture.median))
    elif known is not None:
        tannin = _told(tannin, known)
    label = lot.name or material.name
    return LotFacts(
        lot=lot,
        label=label,
        part=material.part,
        tannin=replace(tannin, label=f"how strong the {label} is"),
        moisture=replace(
            moisture,
            name=f"moisture:{lot.material_id}",
            label=f"how dry the {label} is",
        ),
        purity=replace(
            priors.purity_prior(lot.material_id),
            name=f"purity:{lot.material_id}",
            label=f"how much of the solids of {label} is tannin",
        ),
        prior=prior,
    )


def _told(prior: Unknown, figure: sheets.TanninFigure, factor: float = 1.0) -> Unknown:
    """A tannin figure somebody gave, times ``factor``: a range as its 5 to 95 %, one number within
    a third of itself."""
    low, high = (
        min(factor * pct / 100.0, MOST_TANNIN) for pct in (figure.low_pct, figure.high_pct)
    )
    if high - low < 1e-9:
        low, high = low / ONE_FIGURE, min(high * ONE_FIGURE, 0.5 * (1.0 + high))

    def logit(share: float) -> float:
        return math.log(share / (1.0 - share))

    middle = 0.5 * (logit(low) + logit(high))
    return replace(
        prior,
        median=1.0 / (1.0 + math.exp(-middle)),
        spread=(logit(high) - logit(low)) / (2.0 * Z95),
        sources=("measured-here",),
    )


def _round_up(litres: float) -> float:
    step = 1.0 if litres < 20.0 else 5.0
    return step * math.ceil(litres / step)


Notify = Callable[[str], None]
"""Told in a few words what is being worked on."""
