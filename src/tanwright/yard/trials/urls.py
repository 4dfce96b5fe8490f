"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.trials import grading_urls, offcut_urls, views

app_name = "trials"
urlpatterns: list[URLPattern] = [
    path("", views.trials, name="trials"),
    path("<uuid:id>/", views.trial, name="trial"),
    *offcut_urls.urlpatterns,
    *grading_urls.urlpatterns,
]
