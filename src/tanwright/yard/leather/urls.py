"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.leather import views

app_name = "leather"
urlpatterns: list[URLPattern] = [
    path("", views.leathers, name="leathers"),
    path("<uuid:id>/", views.leathers, name="leather"),
]
