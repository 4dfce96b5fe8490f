"""Addresses of entries and photos."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.journal import views

app_name = "journal"
urlpatterns: list[URLPattern] = [
    path("<uuid:id>/", views.entry, name="entry"),
    path("<uuid:id>/correct/", views.correct, name="correct"),
    path("<uuid:id>/withdraw/", views.withdraw, name="withdraw"),
    path("<uuid:id>/restore/", views.restore, name="restore"),
    path("record/<uuid:id>/withdraw/", views.withdraw_record, name="withdraw-record"),
    path("record/<uuid:id>/restore/", views.restore_record, name="restore-record"),
    path("photo/<uuid:id>/", views.photo, name="photo"),
    path("photo/<uuid:id>/page/", views.photo_page, name="photo-page"),
    path("photo/<uuid:id>/small/", views.thumbnail, name="thumbnail"),
]
