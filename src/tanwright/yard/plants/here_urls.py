"""Addresses of what grows here."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.plants import here_views as views

urlpatterns: list[URLPattern] = [
    path("here/", views.here, name="here"),
    path("here/place/", views.place, name="here-place"),
    path("here/records/", views.take_in, name="here-import"),
    path("here/records/<uuid:id>/", views.reading, name="here-reading"),
    path("here/records/<uuid:id>/withdraw/", views.withdraw, name="here-withdraw"),
]
