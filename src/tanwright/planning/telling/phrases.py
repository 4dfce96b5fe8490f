"""Small phrases of an answer that do not depend on the reader's units."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tanwright.planning.telling import voice as say

if TYPE_CHECKING:
    from tanwright.planning.answers import Answer, Change, Step

FACTS = {
    "skin.weight": "what the skin weighs",
    "skin.thickness": "how thick the skin is",
    "material.have": "how much of the material is in hand",
    "material.tannin": "how much tannin the material holds",
    "vat.volume": "how much the vat holds",
    "vat.temperature": "how warm the vat is",
    "vat.move": "how often the skin is moved",
    "aim.leather": "which leather is wanted",
    "aim.start": "when it starts",
    "tools.strength": "an instrument for the strength of liquors",
    "tools.pot": "how much the pot holds",
}
"""Facts of a sheet in plain words."""
CHANGES = {"done": "Leather by", "interruptions": "Interruptions"}
"""Names of changes that a reader sees in other words."""


def saves(finish: float, amount: float) -> str:
    """What a reading takes off the two ranges, leaving out what it does not change."""
    found = [
        f"{say.per_cent(share)} off the range of {what}"
        for share, what in ((finish, "the finish day"), (amount, "the amount"))
        if share >= 0.005
    ]
    return f"Takes {' and '.join(found)}." if found else "Changes little."


def before_and_now(change: Change) -> str:
    from tanwright.planning.changes import NO_DELAY

    if change.what == "interruptions" and change.before == NO_DELAY:
        return change.after
    if change.what == "interruptions":
        return f"{change.before} without them, {change.after} with them"
    return f"{change.before} before; {change.after} now"


def is_bare(change: Change) -> bool:
    """Whether a change is told in a unit that only ``--full`` readers want."""
    return "mm2/day" in change.before or "mm²/day" in change.before


def adds_a_look(step: Step) -> bool:
    """Whether the look says more than strength and reason do."""
    return bool(step.look) and step.strength_bk is None and step.look not in step.reason


def enough_word(probability: float) -> str:
    word = say.chance_word(probability)
    if word == "maybe":
        return "It could go either way"
    if word.endswith(" not"):
        return f"{word.removesuffix(' not').capitalize()} not enough"
    return f"{word.capitalize()} enough"


def sooner(answer: Answer) -> str:
    """What helps when the wanted day is likely missed (common practice)."""
    likely, wanted = answer.finish.p50, answer.wanted_by
    late = 0 if likely is None or wanted is None else (likely - wanted).days
    ways = ["move the skin oftener", "keep the vat at 15 to 20 °C"]
    if answer.today <= answer.start and late > 0:
        ways.insert(0, f"start {late} day{'' if late == 1 else 's'} earlier")
    return (
        f"To come nearer to it: {', '.join(ways)}, or settle on a later day; never hurry a skin "
        "whose middle is raw."
    )


def name_of(answer: Answer, material_id: str | None) -> str:
    for need in answer.needs:
        if need.material_id == material_id:
            return need.name
    return "material"
