"""A trial of three plants on counted patches, planned, dealt out, and in its jars."""

from __future__ import annotations

import uuid
from datetime import timedelta

import pytest
from django.utils import timezone

from tanwright.yard.people.models import Person
from tanwright.yard.stock.models import Lot
from tanwright.yard.stock.services import new_lot
from tanwright.yard.trials import services
from tanwright.yard.trials.models import Trial

OAK, ALDER, WILLOW = "quercus-robur-bark", "alnus-glutinosa-bark", "salix-caprea-bark"


@pytest.fixture
def oak(keeper: Person) -> Lot:
    return new_lot(keeper, OAK, kg=5.0, happened_at=timezone.now() - timedelta(days=60))


@pytest.fixture
def planned(keeper: Person, oak: Lot) -> Trial:
    """Everything was said on the path; nothing is dealt out yet."""
    trial = services.begin_trial(keeper, "which", name="Oak, alder, willow")
    facts = {
        "usual": {OAK: 1.0}, "plants": [ALDER, WILLOW], "lots": [str(oak.pk)], "width_cm": 6.0,
        "height_cm": 5.0, "thickness_mm": 2.0, "graders": 2, "jars_each": 1,
        "litres_per_kg": 6.0, "dose": 2.5, "temperature_c": 14.0,
        "counts": {"belly": 5, "shanks": 4},
    }  # fmt: skip
    services.set_facts(trial, facts, keeper, leather="soft")
    services.count_patches(trial, {"belly": 5, "shanks": 4}, keeper)
    trial.refresh_from_db()
    return trial


@pytest.fixture
def dealt(keeper: Person, planned: Trial) -> Trial:
    """The patches have their treatments and jars."""
    services.make_the_design(planned, keeper, id=uuid.uuid4(), seed=3)
    return planned


@pytest.fixture
def running(keeper: Person, dealt: Trial) -> Trial:
    """The patches went into the jars ten days ago, with half of the material cooked."""
    services.start(
        dealt, keeper, id=uuid.uuid4(), happened_at=timezone.now() - timedelta(days=10), part=0.5
    )
    return dealt
