"""Addresses of this area; ``/go/`` is short, for it is drawn in a label's picture."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.search import views

app_name = "search"
urlpatterns: list[URLPattern] = [
    path("search/", views.search, name="search"),
    path("go/<str:code>", views.go, name="go"),
]
