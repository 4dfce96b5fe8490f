"""Trials on offcuts: the question, the pieces of skin, the jars they lie in."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from tanwright.yard.journal.models import Record
from tanwright.yard.skins.models import Skin
from tanwright.yard.tannage.models import Tannage


class Trial(Record):
    """One question put to small pieces of skin before a whole one is risked."""

    record_ptr = models.OneToOneField(
        Record,
        on_delete=models.CASCADE,
        parent_link=True,
        primary_key=True,
        related_name="as_trial",
    )

    class Question(models.TextChoices):
        WHICH = "which", "Which of these plants"
        DOSE = "dose", "How much of this one"
        BLEND = "blend", "Which blend"
        PRETREATMENT = "pretreatment", "Which way of preparing the skin"

    class State(models.TextChoices):
        DRAFT = "draft", "being planned"
        CUT = "cut", "patches cut"
        RUNNING = "running", "in the jars"
        GRADING = "grading", "being graded"
        DONE = "done", "done"

    question = models.CharField(max_length=12, choices=Question.choices, blank=True)
    facts = models.JSONField(default=dict, blank=True)
    """What was answered on the path: patch size, graders, plants, liquor to pelt, and the like."""
    treatments = models.JSONField(default=list, blank=True)
    """Rows as planning.trials.records.Treatment, the control first."""
    design = models.JSONField(default=dict, blank=True)
    """The design with the inputs and the seed it was made from; empty until it is made."""
    leather = models.CharField(max_length=5, blank=True)
    tannage = models.ForeignKey(
        Tannage, null=True, blank=True, on_delete=models.PROTECT, related_name="trials"
    )
    """The vat whose ratios are kept."""
    became = models.ForeignKey(
        Tannage, null=True, blank=True, on_delete=models.SET_NULL, related_name="from_trials"
    )
    """The tannage that the chosen treatment became."""

    # Kept state, folded from the entries
    state = models.CharField(
        max_length=8, choices=State.choices, default=State.DRAFT, editable=False
    )
    begun_at = models.DateTimeField(null=True, blank=True, editable=False)
    """When the patches went into the jars."""
    ended_at = models.DateTimeField(null=True, blank=True, editable=False)
    unblinded_at = models.DateTimeField(null=True, blank=True, editable=False)
    """When a keeper uncovered which patch had which treatment; None: still blind."""
    chosen = models.CharField(max_length=40, blank=True, editable=False)
    """Key of the treatment that was chosen in the end."""

    class Meta:
        ordering: ClassVar = ["-created_at"]


class Offcut(models.Model):
    """One piece of skin that patches are cut from."""

    class How(models.TextChoices):
        PRESET = "preset", "from a preset"
        MEASURES = "measures", "from measures"
        DRAWN = "drawn", "drawn by hand"
        FILE = "file", "from a file"

    trial = models.ForeignKey(Trial, on_delete=models.PROTECT, related_name="offcuts")
    number = models.PositiveIntegerField()
    """Counts from 1 within a trial."""
    skin = models.ForeignKey(
        Skin, null=True, blank=True, on_delete=models.PROTECT, related_name="offcuts"
    )
    region = models.CharField(max_length=20)
    """Neck, belly, leg, shoulder, back: patches of one region are alike."""
    label = models.CharField(max_length=60, blank=True)
    rings = models.JSONField(default=dict)
    """``{"outer": [[x, y], ...], "holes": [[[x, y], ...], ...]}`` in cm."""
    how = models.CharField(max_length=8, choices=How.choices, default=How.MEASURES)
    thickness_mm = models.FloatField(null=True, blank=True)
    """Of the wet piece, ready for the vat; None: that of the skin."""

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["trial", "number"], name="one_offcut_of_a_number")
        ]

    def __str__(self) -> str:
        return self.label or f"Offcut {self.number}"


class Jar(models.Model):
    """One small vat: its liquor and what is in it."""

    trial = models.ForeignKey(Trial, on_delete=models.PROTECT, related_name="jars")
    number = models.PositiveIntegerField()
    """Counts from 1 within a trial; written on the lid."""
    treatment = models.CharField(max_length=40)
    litres = models.FloatField()
    shares = models.JSONField(default=dict)
    """Material id to kg of dry material over the whole trial."""
    lots = models.JSONField(default=dict)
    """Id of a lot to kg as it lies."""
    strength_bk = models.FloatField(null=True, blank=True)
    """Planned strength of the first liquor, °Bk; None: not worked out."""
    pelt_kg = models.FloatField(default=0.0)
    """Wet pelt of its patches."""

    # Kept state, folded from the entries
    last_bk = models.FloatField(null=True, blank=True, editable=False)
    last_look = models.CharField(max_length=40, blank=True, editable=False)
    last_share = models.FloatField(null=True, blank=True, editable=False)
    """How much of a cut edge was tanned at the last cut, 0 to 1."""
    last_logged_at = models.DateTimeField(null=True, blank=True, editable=False)
    ended_at = models.DateTimeField(null=True, blank=True, editable=False)
    """When its patches came out."""
    forecast = models.JSONField(null=True, blank=True, editable=False)
    """What the engine said last of this jar, with the version of the trial it speaks of."""

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["trial", "number"], name="one_jar_of_a_number")
        ]

    def __str__(self) -> str:
        return f"Jar {self.number}"


class TrialPatch(models.Model):
    """One patch: where it was cut from, what was done to it, which jar it lies in."""

    trial = models.ForeignKey(Trial, on_delete=models.PROTECT, related_name="patches")
    offcut = models.ForeignKey(Offcut, on_delete=models.PROTECT, related_name="patches")
    number = models.PositiveIntegerField()
    """Counts from 1 within a trial, in the order of cutting."""
    code = models.CharField(max_length=40, blank=True)
    """Its edge code, as science.trials.codes writes it."""
    region = models.CharField(max_length=20)
    block = models.CharField(max_length=40, blank=True)
    treatment = models.CharField(max_length=40, blank=True)
    """Key of its treatment; empty until the design is made, or for a spare."""
    x_cm = models.FloatField()
    y_cm = models.FloatField()
    """Its middle, in the coordinates of the offcut."""
    angle_deg = models.FloatField(default=0.0)
    """Turned counter-clockwise about its middle."""
    width_cm = models.FloatField()
    height_cm = models.FloatField()
    jar = models.ForeignKey(
        Jar, null=True, blank=True, on_delete=models.SET_NULL, related_name="patches"
    )
    out_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar = ["number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["trial", "number"], name="one_patch_of_a_number")
        ]

    def __str__(self) -> str:
        return f"Patch {self.number}"
