"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.gathering import views

app_name = "gathering"
urlpatterns: list[URLPattern] = [
    path("", views.places, name="places"),
    path("<uuid:id>/", views.place, name="place"),
]
