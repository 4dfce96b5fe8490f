"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.journal import views

app_name = "journal"
urlpatterns: list[URLPattern] = [
    path("<uuid:id>/", views.entries, name="entry"),
]
