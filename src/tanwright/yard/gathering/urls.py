"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.gathering import views

app_name = "gathering"
urlpatterns: list[URLPattern] = [
    path("", views.places, name="places"),
    path("calendar/", views.calendar, name="calendar"),
    path("new/", views.new, name="new"),
    path("<uuid:id>/", views.place, name="place"),
    path("<uuid:id>/change/", views.change, name="change"),
    path("<uuid:id>/log/<slug:what>/", views.log, name="log"),
    path("<uuid:id>/take-in/<uuid:entry>/", views.take_in, name="take-in"),
]
