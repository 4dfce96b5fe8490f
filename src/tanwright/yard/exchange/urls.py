"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.exchange import views

app_name = "exchange"
urlpatterns: list[URLPattern] = [
    path("", views.keeping, name="keeping"),
]
