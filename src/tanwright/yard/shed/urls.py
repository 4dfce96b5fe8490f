"""Addresses of the shed page."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.shed import views

app_name = "shed"
urlpatterns: list[URLPattern] = [
    path("", views.shed, name="shed"),
    path("send/", views.send, name="send"),
    path("token/", views.token, name="token"),
    path("sw.js", views.worker, name="worker"),
]
