"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.trials import (
    grading_urls,
    jar_views,
    offcut_urls,
    planning_views,
    views,
)

app_name = "trials"
urlpatterns: list[URLPattern] = [
    path("", views.trials, name="trials"),
    path("new/", planning_views.new, name="new"),
    path("<uuid:id>/", views.trial, name="trial"),
    path("<uuid:id>/step/<slug:step>/", planning_views.step, name="step"),
    path("<uuid:id>/design/", planning_views.design, name="design"),
    path("<uuid:id>/change/", planning_views.change, name="change"),
    path("<uuid:id>/jars/", jar_views.jars, name="jars"),
    path("<uuid:id>/lids/", jar_views.lids, name="lids"),
    path("<uuid:id>/start/", jar_views.start, name="start"),
    path("<uuid:id>/log/", jar_views.log, name="log"),
    path("<uuid:id>/log/<slug:what>/", jar_views.log_one, name="log-one"),
    path("<uuid:id>/to-skin/", jar_views.to_skin, name="to-skin"),
    path("<uuid:id>/learn/", jar_views.learn, name="learn"),
    *offcut_urls.urlpatterns,
    *grading_urls.urlpatterns,
]
