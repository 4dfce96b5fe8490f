"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.tannage import views

app_name = "tannage"
urlpatterns: list[URLPattern] = [
    path("", views.tannages, name="tannages"),
    path("new/", views.tannages, name="new"),
    path("<uuid:id>/", views.tannages, name="tannage"),
]
