"""The account of masses of one leather: degree of tannage and yield, with their range."""

from __future__ import annotations

from dataclasses import dataclass

from tanwright.errors import InputError
from tanwright.planning.finishing import MassAccount, MassInput, mass_account
from tanwright.yard.leather.models import Leather
from tanwright.yard.leather.pelt import pelt_of
from tanwright.yard.leather.stages import aim_of


@dataclass(frozen=True)
class Masses:
    """The account, or why there is none; ``whence`` tells which weight of the pelt it stands on."""

    account: MassAccount | None
    missing: str
    whence: str


def masses_of(leather: Leather) -> Masses:
    """What the scale says of ``leather``."""
    pelt = pelt_of(leather.skin)
    if leather.weight_kg is None:
        return Masses(None, "Weigh the dry leather: then its yield and tannage follow.", "")
    if pelt.kg is None:
        return Masses(None, "No weight of the skin before the vat is known.", pelt.whence)
    given = MassInput(
        pelt_kg=pelt.kg,
        leather_kg=leather.weight_kg,
        hide_share=pelt.hide_share,
        raw_kg=pelt.raw_kg,
        leather=aim_of(leather),
    )
    try:
        return Masses(mass_account(given), "", pelt.whence)
    except InputError as error:
        remedy = f"; {error.remedy}" if error.remedy else ""
        return Masses(None, f"{error.what[:1].upper()}{error.what[1:]}{remedy}.", pelt.whence)
