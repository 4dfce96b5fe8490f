"""Places that give bark, leaves, galls and pods, and what was agreed and seen there."""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from tanwright.yard.journal.models import Record


class Place(Record):
    """A find, a stand, or somebody who has bark to give away; people are told of as roles."""

    record_ptr = models.OneToOneField(
        Record,
        on_delete=models.CASCADE,
        parent_link=True,
        primary_key=True,
        related_name="as_place",
    )

    class What(models.TextChoices):
        WINDFALL = "windfall", "windfall"
        STANDING_DEAD = "standing-dead", "standing dead tree"
        MILL = "mill", "mill"
        FIREWOOD = "firewood", "firewood cutter"
        TREE_SERVICE = "tree-service", "tree service"
        COPPICE = "coppice", "coppice stand"
        LEAVES = "leaves", "leaf patch"
        PODS = "pods", "tree of galls or pods"
        OTHER = "other", "another place"

    class Permission(models.TextChoices):
        NOT_ASKED = "not-asked", "not asked yet"
        ASKED = "asked", "asked, no answer yet"
        GIVEN = "given", "given"
        REFUSED = "refused", "refused"

    what = models.CharField("what it is", max_length=13, choices=What.choices)
    whose = models.CharField("whose it is", max_length=60, blank=True)
    """A role, like "the mill" or "a neighbour"; nobody's name is asked for."""
    plants = models.CharField("plants", max_length=600, blank=True)
    """Ids of plant materials, with blanks between."""
    latitude = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(-90.0), MaxValueValidator(90.0)]
    )
    longitude = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(-180.0), MaxValueValidator(180.0)]
    )
    way = models.CharField("how to get there", max_length=200, blank=True)
    ended_on = models.DateField("felled, fallen or dead since", null=True, blank=True)
    compartments = models.PositiveSmallIntegerField("parts that are cut in turn", null=True,
                                                    blank=True)  # fmt: skip
    area_m2 = models.FloatField(null=True, blank=True)
    stools = models.PositiveIntegerField(null=True, blank=True)
    """Stumps or bushes that are cut and grow again."""

    # Kept state, folded from the entries
    permission = models.CharField(
        max_length=9, choices=Permission.choices, default=Permission.NOT_ASKED, editable=False
    )
    permission_by = models.CharField(max_length=60, blank=True, editable=False)
    permission_until = models.DateField(null=True, editable=False)
    last_visit_at = models.DateTimeField(null=True, editable=False)
    look_on = models.DateField(null=True, editable=False)
    """Next worth a look; None when nothing says so."""
    look_why = models.CharField(max_length=160, blank=True, editable=False)
    rained_at = models.DateTimeField(null=True, editable=False)
    """Latest rain that was noted after it died."""
    rain_words = models.CharField(max_length=20, blank=True, editable=False)
    last_cut_at = models.DateTimeField(null=True, editable=False)
    cut_from = models.DateField(null=True, editable=False)
    cut_to = models.DateField(null=True, editable=False)
    """Days from which what was cut longest ago may be cut again: earliest, and by the longest
    rotation that was printed."""
    taken_kg = models.FloatField(default=0.0, editable=False)
    """All that was gathered here, kg as it was weighed."""
    waiting = models.PositiveIntegerField(default=0, editable=False)
    """Entries of what was gathered here that no lot holds yet."""
    bark_low_kg = models.FloatField(null=True, editable=False)
    bark_likely_kg = models.FloatField(null=True, editable=False)
    bark_high_kg = models.FloatField(null=True, editable=False)
    """Air-dry bark of the trunks that were measured: 5th, 50th and 95th percentile."""
    skin_low_kg = models.FloatField(null=True, editable=False)
    skin_likely_kg = models.FloatField(null=True, editable=False)
    skin_high_kg = models.FloatField(null=True, editable=False)
    """Green skin that this bark should tan."""
    gone_at = models.DateTimeField(null=True, editable=False)
    """When there was no more to get there."""

    class Meta:
        ordering: ClassVar = ["-created_at"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=Q(latitude__isnull=True, longitude__isnull=True)
                | Q(latitude__isnull=False, longitude__isnull=False),
                name="a_place_has_both_numbers",
            )
        ]

    @property
    def title(self) -> str:
        """Its own name, or "Windfall, place 3"."""
        if self.name:
            return self.name
        words = str(self.get_what_display())
        return f"{words[:1].upper()}{words[1:]}, place {self.number}"

    @property
    def plant_ids(self) -> tuple[str, ...]:
        """Ids of the plant materials it gives."""
        return tuple(self.plants.split())

    @property
    def regrows(self) -> bool:
        """Whether it is cut or plucked again and again."""
        return self.what in (self.What.COPPICE, self.What.LEAVES, self.What.PODS)

    def may_gather(self, on: date) -> bool:
        """Whether leave was given and still stands on that day."""
        given = self.permission == self.Permission.GIVEN
        return given and (self.permission_until is None or self.permission_until >= on)
