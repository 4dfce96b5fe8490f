"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.today import views

app_name = "today"
urlpatterns: list[URLPattern] = [
    path("", views.today, name="today"),
    path("calendar/", views.calendar, name="calendar"),
    path("calendar/yard.ics", views.download, name="download"),
    path("calendar/<uuid:token>.ics", views.feed, name="feed"),
]
