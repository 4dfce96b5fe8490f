"""The almanac of evidence: who says what, where they disagree, and all of it to take along."""

from __future__ import annotations

import io
from functools import lru_cache

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from tanwright.errors import TanwrightError
from tanwright.planning import almanac
from tanwright.planning.almanac import Contradiction, Side, SourceUse
from tanwright.planning.pictures.tannin_figures import who
from tanwright.reference import materials
from tanwright.yard.plants.wording import citation, sentence

STRENGTHS = {
    "read": "read for this reference",
    "weak": "read, but a weak source",
    "memory": "not read: from memory",
    "practice": "common practice, no source",
    "derived": "worked out here",
    "own": "measured here",
}


def sources(request: HttpRequest) -> HttpResponse:
    """Every source with what it gives, those with the most tannin figures first."""
    by_figures = sorted(almanac.sources(), key=lambda use: -use.figures)
    uses = [(use, citation(use.source)) for use in by_figures]
    return render(request, "plants/almanac.html", {"uses": uses})


def source(request: HttpRequest, key: str) -> HttpResponse:
    """One source, cited in full, with every figure that stands in it."""
    try:
        use = almanac.source_use(key)
    except TanwrightError as error:
        context = {"what": error.what, "remedy": error.remedy}
        return render(request, "plants/no_such_source.html", context, status=404)
    return render(
        request,
        "plants/source.html",
        {
            "use": use,
            "cited": citation(use.source),
            "strength": STRENGTHS.get(use.source.strength, use.source.strength),
            "figures": _figures(use),
            "others": _others(use),
            "tables": sorted(use.rows.items()),
        },
    )


def _figures(use: SourceUse) -> list[dict[str, object]]:
    found = []
    for row in materials.observations():
        if row.source == use.source.key:
            item = materials.material(row.material_id)
            counted = "counted" if row.independent else "shown, not counted"
            found.append({"item": item, "row": row, "counted": counted})
    return found


def _others(use: SourceUse) -> list[materials.Material]:
    """Plants that rest on the source without a figure from it."""
    with_figures = {row.material_id for row in materials.observations()
                    if row.source == use.source.key}  # fmt: skip
    return [materials.material(id) for id in use.materials if id not in with_figures]


KINDS = {
    "figures": "Tannin figures that cannot both hold",
    "statements": "What makes a lot strong or weak",
    "rules": "Rules of thumb",
}


def contradictions(request: HttpRequest) -> HttpResponse:
    """Where the sources cannot both be right, and what is done about it."""
    groups = [
        (kind, heading, [_told(each) for each in all_contradictions() if each.kind == kind])
        for kind, heading in KINDS.items()
    ]
    return render(request, "plants/contradictions.html", {"groups": groups})


@lru_cache(maxsize=1)
def all_contradictions() -> tuple[Contradiction, ...]:
    """Worked out once for the process."""
    return almanac.contradictions()


def _told(each: Contradiction) -> dict[str, object]:
    return {
        "each": each,
        "reason": sentence(each.reason),
        "done": sentence(each.what_is_done),
        "sides": [(side, _sources_of(side)) for side in each.sides],
    }


def _sources_of(side: Side) -> list[tuple[str, str]]:
    return [(key, who(key)) for key in side.sources]


def reference(request: HttpRequest) -> HttpResponse:
    """The whole reference as a zip of tables with their sources."""
    answer = HttpResponse(packed(), content_type="application/zip")
    answer["Content-Disposition"] = 'attachment; filename="reference.zip"'
    return answer


@lru_cache(maxsize=1)
def packed() -> bytes:
    """The zip, made once for the process."""
    out = io.BytesIO()
    almanac.export(out)
    return out.getvalue()
