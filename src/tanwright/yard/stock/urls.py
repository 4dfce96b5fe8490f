"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.stock import views

app_name = "stock"
urlpatterns: list[URLPattern] = [
    path("", views.lots, name="lots"),
    path("new/", views.lots, name="new"),
    path("<uuid:id>/", views.lots, name="lot"),
]
