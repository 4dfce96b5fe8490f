"""How to find the strength of a pile with kitchen gear, step by step, with the dangers named.

Figures: temperatures from the extraction tests of Parker and Procter (``procter1903``), the gelatin
and iron tests from the same book and ``bennett1921``; the rest is common practice.
"""

from __future__ import annotations

from dataclasses import dataclass

from tanwright.planning.answers import Caution
from tanwright.reference.cautions import cautions_for

_TENDER = ("leaf", "herb", "root", "rhizome", "flower", "twig")


@dataclass(frozen=True)
class HowTo:
    """One way to learn something about a pile."""

    title: str
    steps: tuple[str, ...]
    source: str


def how_to_try(material_id: str) -> tuple[HowTo, ...]:
    """The ways to try a pile of ``material_id``, the most telling first."""
    tender = any(word in material_id for word in _TENDER)
    heat = (
        "keep it at 50 to 60 °C for three hours; leaves and roots lose tannin when hotter"
        if tender
        else "keep it at 70 to 80 °C for three hours; a hard boil throws tannin down as reds"
    )
    cook = HowTo(
        "A trial cook (tells most)",
        (
            "Take handfuls from many places of the pile and mix them; weigh out 250 g as it lies.",
            "Chop or pound it to pieces of about 5 mm.",
            "Pour 2 L of rain or boiled water on it in a pot of stainless steel, glass or enamel,"
            f" and {heat}.",
            "Strain through a cloth, press it out, and fill up with water to 2 L again.",
            "Let it cool to room temperature and settle; write the temperature down.",
            "Then measure its strength in one of the next three ways.",
        ),
        "procter1903; common practice",
    )
    measures = (
        HowTo(
            "Hydrometer or barkometer",
            (
                "Float it, spin it once, read at the level of the liquor.",
                'Give --strength "1.012 SG" (or "12 Bk"), --at with the temperature of the liquor,'
                " and --calibrated-at with the temperature printed on the instrument.",
            ),
            "common practice",
        ),
        HowTo(
            "Refractometer",
            ('A drop of cooled, clear liquor: --strength "3.1 Brix".',),
            "common practice",
        ),
        HowTo(
            "A kitchen scale and a measured litre",
            (
                "Weigh a dry jug, fill it to a line with water, weigh, empty it, fill it to the"
                " same line with liquor of the same warmth, weigh again.",
                "Give what a litre of the liquor weighs without the jug: --litre-weight"
                ' "1012 g"; if a litre of water in that jug weighs 990 g, add --water-weight'
                ' "990 g".',
                "Every gram is a degree, so use a scale that shows single grams.",
            ),
            "common practice",
        ),
    )
    signs = (
        HowTo(
            "Gelatin and salt (is it tannin at all?)",
            (
                "Dissolve 1 g of gelatin and 10 g of salt in 100 mL of warm water; let it cool.",
                "A few drops into clear, thin liquor: --gelatin curds, cloudy, hazy or none.",
            ),
            "procter1903",
        ),
        HowTo(
            "Iron (which family of tannin)",
            (
                "A rusty nail in vinegar overnight gives the drops; use a saucer, never the vat.",
                "One drop into very thin liquor: --iron blue-black, green-black, grey or none.",
            ),
            "procter1903; bennett1921; the vinegar is common practice",
        ),
        HowTo(
            "A snip of skin (does it tan?)",
            (
                "Hang a thumb-wide snip of prepared skin in the liquor; cut a sliver off it once"
                " a day until no pale line is left.",
                'Give --snip-days 5 and --snip-thickness "1 mm".',
            ),
            "common practice",
        ),
    )
    return (cook, *measures, *signs)


def cautions_of_trying(material_id: str) -> tuple[Caution, ...]:
    """The dangers of a trial cook of ``material_id``. Raises UnknownMaterialError."""
    found = cautions_for(("step:cooking", "tool:pot", f"material:{material_id}"))
    return tuple(Caution(item.topic, item.text, item.source) for item in found)
