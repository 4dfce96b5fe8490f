"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.people import views

app_name = "people"
urlpatterns: list[URLPattern] = [
    path("me/", views.me, name="me"),
    path("sign-in/", views.me, name="sign-in"),
]
