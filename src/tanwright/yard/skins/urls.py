"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.skins import preparing, views

app_name = "skins"
urlpatterns: list[URLPattern] = [
    path("", views.skins, name="skins"),
    path("new/", views.new, name="new"),
    path("<uuid:id>/", views.skin, name="skin"),
    path("<uuid:id>/change/", views.change, name="change"),
    path("<uuid:id>/log/<slug:what>/", views.log, name="log"),
    path("<uuid:id>/preparation/", preparing.preparation, name="preparation"),
    path("<uuid:id>/way/", preparing.way, name="way"),
    path("<uuid:id>/begin/", preparing.begin, name="begin"),
    path("<uuid:id>/end/", preparing.end, name="end"),
]
