"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.liquors import views

app_name = "liquors"
urlpatterns: list[URLPattern] = [
    path("", views.liquors, name="liquors"),
    path("<uuid:id>/", views.liquors, name="liquor"),
]
