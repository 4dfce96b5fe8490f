"""Whatever a page of a trial offers somebody, they may do: at every stage, for both roles."""

from __future__ import annotations

import re
import uuid
from typing import Any

from django.test import Client
from django.urls import reverse
from django.utils import timezone

from tanwright.yard.people.models import Person
from tanwright.yard.trials import grading_services as grading
from tanwright.yard.trials import services
from tanwright.yard.trials.models import Trial

PAGES = ("trial", "design", "jars", "lids", "offcuts", "grading", "results", "read-code", "log")
LINK = re.compile(r'<a [^>]*href="(/trials/[^"#]*)')


def refused(client: Client, trial: Trial) -> set[str]:
    """Addresses that pages of ``trial`` link to and that are refused, or are not there."""
    pages = [client.get(reverse(f"trials:{name}", args=[trial.pk])) for name in PAGES]
    pages.append(client.get(reverse("trials:trials")))
    links = {link for page in pages for link in LINK.findall(page.content.decode())}
    assert links
    return {
        link for link in sorted(links) if client.get(link.replace("&amp;", "&")).status_code >= 400
    }


def test_no_link_is_a_dead_end(
    client_of: Any, keeper: Person, helper: Person, planned: Trial, settings: Any
) -> None:
    settings.FORECASTS = "off"
    clients, when = (client_of(keeper), client_of(helper)), timezone.now()

    def look(*, only_helper: bool = False) -> None:
        for client in clients[1:] if only_helper else clients:
            assert refused(client, planned) == set(), planned.state

    look()
    services.make_the_design(planned, keeper, id=uuid.uuid4())
    look(only_helper=True)
    services.start(planned, keeper, id=uuid.uuid4(), happened_at=when)
    look()
    jars: dict[int, Any] = {jar.number: {} for jar in planned.jars.all()}
    services.log_jars(planned, "taken_out", jars, keeper, id=uuid.uuid4(), happened_at=when)
    look(only_helper=True)
    grades = {number: 1 + number % 5 for number in planned.patches.values_list("number", flat=True)}
    for grader in ("one", "two"):
        grading.grade(planned, grader, "feel", grades, keeper, id=uuid.uuid4(), happened_at=when)
    look(only_helper=True)
    grading.finish(planned, keeper, id=uuid.uuid4(), happened_at=when)
    look()
