"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.stock import views

app_name = "stock"
urlpatterns: list[URLPattern] = [
    path("", views.lots, name="lots"),
    path("new/", views.new, name="new"),
    path("stocktake/", views.stocktake, name="stocktake"),
    path("containers/", views.containers, name="containers"),
    path("containers/<int:id>/forget/", views.drop_container, name="drop-container"),
    path("<uuid:id>/", views.lot, name="lot"),
    path("<uuid:id>/change/", views.change, name="change"),
    path("<uuid:id>/log/<slug:what>/", views.log, name="log"),
]
