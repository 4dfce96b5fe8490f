"""The addresses of the yard, one line for each area."""

from __future__ import annotations

from django.conf import settings
from django.urls import URLPattern, URLResolver, include, path

from tanwright.yard.shell import views as shell

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("tanwright.yard.today.urls")),
    path("skins/", include("tanwright.yard.skins.urls")),
    path("stock/", include("tanwright.yard.stock.urls")),
    path("liquors/", include("tanwright.yard.liquors.urls")),
    path("tannages/", include("tanwright.yard.tannage.urls")),
    path("leather/", include("tanwright.yard.leather.urls")),
    path("plants/", include("tanwright.yard.plants.urls")),
    path("places/", include("tanwright.yard.gathering.urls")),
    path("trials/", include("tanwright.yard.trials.urls")),
    path("shed/", include("tanwright.yard.shed.urls")),
    path("paper/", include("tanwright.yard.paper.urls")),
    path("", include("tanwright.yard.search.urls")),
    path("keeping/", include("tanwright.yard.exchange.urls")),
    path("people/", include("tanwright.yard.people.urls")),
    path("journal/", include("tanwright.yard.journal.urls")),
]
if settings.DEBUG:
    urlpatterns.append(path("style", shell.style, name="style"))

handler400 = "tanwright.yard.shell.views.bad_request"
handler403 = "tanwright.yard.shell.views.not_allowed"
handler404 = "tanwright.yard.shell.views.not_found"
handler500 = "tanwright.yard.exchange.disk.failed"
