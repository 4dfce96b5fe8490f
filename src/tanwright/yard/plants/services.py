"""What is done to the yard's own list of plants; only a keeper does it."""

from __future__ import annotations

from django.db import transaction

from tanwright.errors import InputError
from tanwright.reference import materials
from tanwright.yard.people.models import Person
from tanwright.yard.plants.models import OwnPlant


@transaction.atomic
def add_plant(material_id: str, by: Person, note: str = "") -> OwnPlant:
    """Put a material on the yard's list, or find it there.

    Raises UnknownMaterialError, and InputError for a helper or a plant that nobody should gather.
    """
    _only_keeper(by)
    item = materials.material(material_id)
    if not item.may_be_suggested:
        raise InputError(
            f"{item.name} should be left alone", remedy="choose a plant that may be gathered"
        )
    own, _ = OwnPlant.objects.get_or_create(material_id=item.id, defaults={"by": by, "note": note})
    return own


@transaction.atomic
def drop_plant(material_id: str, by: Person) -> None:
    """Take a material off the list; its note goes with it. Raises InputError for a helper."""
    _only_keeper(by)
    OwnPlant.objects.filter(material_id=material_id).delete()


@transaction.atomic
def note_plant(material_id: str, note: str, by: Person) -> OwnPlant:
    """Write the note of a plant, which comes on the list by it."""
    own = add_plant(material_id, by)
    if own.note != note:
        own.note = note
        own.save(update_fields=["note"])
    return own


def _only_keeper(by: Person) -> None:
    if not by.is_keeper:
        raise InputError(
            "only a keeper may change the list of plants", remedy="ask a keeper of the yard"
        )
