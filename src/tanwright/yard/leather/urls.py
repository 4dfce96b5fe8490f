"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.leather import views

app_name = "leather"
urlpatterns: list[URLPattern] = [
    path("", views.leathers, name="leathers"),
    path("new/", views.new, name="new"),
    path("<uuid:id>/", views.leather, name="leather"),
    path("<uuid:id>/change/", views.change, name="change"),
    path("<uuid:id>/begin/<slug:stage>/", views.begin, name="begin"),
    path("<uuid:id>/ended/", views.ended, name="ended"),
    path("<uuid:id>/log/<slug:what>/", views.log, name="log"),
]
