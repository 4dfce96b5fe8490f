"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.plants import almanac_views, choosing_views, home_tests_views, views
from tanwright.yard.plants.here_urls import urlpatterns as here

app_name = "plants"
urlpatterns: list[URLPattern] = [
    path("", views.plants, name="plants"),
    path("compare/", views.compare, name="compare"),
    path("choose/", choosing_views.choose, name="choose"),
    path("home-tests/", home_tests_views.tests, name="home-tests"),
    path("almanac/", almanac_views.sources, name="almanac"),
    path("almanac/<slug:key>/", almanac_views.source, name="source"),
    path("contradictions/", almanac_views.contradictions, name="contradictions"),
    path("reference.zip", almanac_views.reference, name="reference"),
    *here,
    path("<slug:id>/", views.plant, name="plant"),
    path("<slug:id>/keep/", views.keep, name="keep"),
    path("<slug:id>/note/", views.note, name="note"),
]
