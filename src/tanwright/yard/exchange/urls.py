"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.exchange import views

app_name = "exchange"
urlpatterns: list[URLPattern] = [
    path("", views.keeping, name="keeping"),
    path("back-up/", views.back_up, name="back-up"),
    path("backups/<str:name>", views.download, name="download"),
    path("export/", views.export_all, name="export"),
    path("demo/", views.load_demo, name="demo"),
]
