"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.plants import views

app_name = "plants"
urlpatterns: list[URLPattern] = [
    path("", views.plants, name="plants"),
]
