"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.today import views

app_name = "today"
urlpatterns: list[URLPattern] = [
    path("", views.today, name="today"),
]
