"""What is logged in three touches, described as plain data so that an offline page can draw it."""

from __future__ import annotations

from typing import Any, Final

from tanwright.planning.looks import liquor_looks
from tanwright.units import System
from tanwright.yard.liquors.tables import scale_of_the_yard
from tanwright.yard.tannage.entry_kinds import CUT_PLACES, SMELLS

CUT_SHARES: Final = (
    (0.0, "raw all through"),
    (0.25, "a rim is tanned"),
    (0.5, "half is pale"),
    (0.67, "a third is pale"),
    (0.85, "a pale line"),
    (0.95, "a hairline"),
    (1.0, "through"),
)
"""Share of the thickness that is tanned, and how that looks at a cut."""
SCALE_NAMES: Final = {
    "bk": "°Bk (barkometer)",
    "sg": "SG (hydrometer)",
    "tw": "°Tw",
    "be": "°Bé",
    "brix": "°Brix",
    "plato": "°P",
    "litre": "g, a weighed litre",
}


QUICK: Final = frozenset(
    ("look", "cut", "strength", "turned", "temperature", "smell", "ph", "note", "frozen", "thawed",
     "away", "back")
)  # fmt: skip
"""What a phone may keep and send later: entries about the vat alone, that move nothing else."""


def quick_kinds(system: System) -> list[dict[str, Any]]:
    """Every quick kind: ``what``, ``label``, ``ask`` and its fields.

    A field has ``name``, ``label``, ``type`` ("choice" or "number"), ``choices`` as [value, label]
    pairs, ``unit``, ``to_kept`` as [factor, offset] from the shown unit to the kept one, and
    ``needed``.
    """
    degrees = {
        "type": "number",
        "unit": "°C" if system == "metric" else "°F",
        "to_kept": [1.0, 0.0] if system == "metric" else [5.0 / 9.0, -160.0 / 9.0],
    }
    looks = [[look, look] for look in liquor_looks()]
    return [
        _kind("look", "Look", "How does the liquor look in a white cup?",
              _choice("look", "Look", looks)),
        _kind("cut", "Cut", "How much of the cut edge is still pale?",
              _choice("share", "Cut", [[share, label] for share, label in CUT_SHARES]),
              _choice("place", "Where", [[place, place] for place in CUT_PLACES], needed=False)),
        _kind("strength", "Strength", "What does the instrument show?",
              {"name": "value", "label": "Strength", "type": "number", "unit": "", "needed": True,
               "to_kept": [1.0, 0.0]},
              _choice("scale", "Scale", [list(pair) for pair in SCALE_NAMES.items()],
                      chosen=scale_of_the_yard()),
              {"name": "liquor_c", "label": "Warmth of the liquor", "needed": False, **degrees}),
        _kind("turned", "Turned", "You moved or turned the skins."),
        _kind("temperature", "Warmth", "How warm is the vat?",
              {"name": "temperature_c", "label": "Warmth of the vat", "needed": True, **degrees}),
        _kind("smell", "Smell", "How does it smell?",
              _choice("smell", "Smell", [[smell, smell] for smell in SMELLS])),
        _kind("ph", "pH", "What does the strip show?",
              {"name": "ph", "label": "pH", "type": "number", "unit": "", "needed": True,
               "to_kept": [1.0, 0.0]}),
        _kind("note", "Note", "What did you see or do?"),
        _kind("frozen", "Frozen", "The vat is frozen."),
        _kind("thawed", "Thawed", "The vat has thawed."),
        _kind("away", "Going away", "Nobody will move the skins."),
        _kind("back", "Back", "Somebody is here again."),
    ]  # fmt: skip


def _kind(what: str, label: str, ask: str, *fields: dict[str, Any]) -> dict[str, Any]:
    return {"what": what, "label": label, "ask": ask, "fields": list(fields)}


def _choice(
    name: str, label: str, choices: list[list[Any]], *, needed: bool = True, chosen: Any = None
) -> dict[str, Any]:
    return {
        "name": name,
        "label": label,
        "type": "choice",
        "choices": choices,
        "chosen": chosen,
        "needed": needed,
    }
