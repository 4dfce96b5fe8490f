"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.paper import views

app_name = "paper"
urlpatterns: list[URLPattern] = [
    path("", views.paper, name="paper"),
]
