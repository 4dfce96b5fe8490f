"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.search import views

app_name = "search"
urlpatterns: list[URLPattern] = [
    path("", views.search, name="search"),
]
