"""Addresses of offcuts, patches and cutting maps."""

from __future__ import annotations

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
