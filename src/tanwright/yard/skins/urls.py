"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.skins import views

app_name = "skins"
urlpatterns: list[URLPattern] = [
    path("", views.skins, name="skins"),
    path("new/", views.skins, name="new"),
    path("<uuid:id>/", views.skins, name="skin"),
]
