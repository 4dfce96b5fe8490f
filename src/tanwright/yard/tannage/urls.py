"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.tannage import logging_views, planning_views, views

app_name = "tannage"
urlpatterns: list[URLPattern] = [
    path("", views.tannages, name="tannages"),
    path("new/", planning_views.new, name="new"),
    path("<uuid:id>/", views.tannage, name="tannage"),
    path("<uuid:id>/plan/", views.plan, name="plan"),
    path("<uuid:id>/now/", views.now, name="now"),
    path("<uuid:id>/numbers/<slug:picture>.csv", views.numbers, name="numbers"),
    path("<uuid:id>/step/<slug:step>/", planning_views.step, name="step"),
    path("<uuid:id>/so-far/", planning_views.so_far, name="so-far"),
    path("<uuid:id>/review/", planning_views.review, name="review"),
    path("<uuid:id>/start/", planning_views.start, name="start"),
    path("<uuid:id>/change/", planning_views.change, name="change"),
    path("<uuid:id>/log/", logging_views.more, name="more"),
    path("<uuid:id>/log/<slug:what>/", logging_views.log, name="log"),
    path("<uuid:id>/done/", logging_views.gate, name="gate"),
    path("<uuid:id>/keep-liquor/", logging_views.keep_liquor, name="keep-liquor"),
    path("<uuid:id>/move-skin/", logging_views.move_skin, name="move-skin"),
    path("<uuid:id>/learn/", logging_views.learn, name="learn"),
]
