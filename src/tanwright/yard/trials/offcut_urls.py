"""Addresses of offcuts, patches and cutting maps."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.trials import offcut_views as views

urlpatterns: list[URLPattern] = [
    path("<uuid:id>/offcuts/", views.offcuts, name="offcuts"),
    path("<uuid:id>/offcuts/add/<slug:way>/", views.offcut_add, name="offcut-add"),
    path("<uuid:id>/offcuts/<int:number>/remove/", views.offcut_remove, name="offcut-remove"),
    path("<uuid:id>/map/", views.cutting_map_pdf, name="cutting-map"),
    path("<uuid:id>/code/", views.read_code, name="read-code"),
]
