"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.shed import views

app_name = "shed"
urlpatterns: list[URLPattern] = [
    path("", views.shed, name="shed"),
]
