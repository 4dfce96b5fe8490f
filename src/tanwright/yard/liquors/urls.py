"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.liquors import views

app_name = "liquors"
urlpatterns: list[URLPattern] = [
    path("", views.liquors, name="liquors"),
    path("cook/", views.cook, name="cook"),
    path("tools/", views.tools, name="tools"),
    path("<uuid:id>/", views.liquor, name="liquor"),
    path("<uuid:id>/change/", views.change, name="change"),
    path("<uuid:id>/log/<slug:what>/", views.log, name="log"),
]
