"""Addresses of what is printed."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.paper import views

app_name = "paper"
urlpatterns: list[URLPattern] = [
    path("", views.paper, name="paper"),
    path("label/<uuid:id>.pdf", views.label, name="label"),
    path("report/<uuid:id>.pdf", views.report, name="report"),
    path("shed-sheet/<uuid:id>.pdf", views.shed_sheet, name="shed-sheet"),
]
