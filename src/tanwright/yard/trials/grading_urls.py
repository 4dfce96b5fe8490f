"""Addresses of grading and results."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.trials import grading_views as grading
from tanwright.yard.trials import result_views as result

urlpatterns: list[URLPattern] = [
    path("<uuid:id>/grading/", grading.grading, name="grading"),
    path("<uuid:id>/grade/<slug:quality>/", grading.sheet, name="grade"),
    path("<uuid:id>/row/<slug:quality>/", grading.row, name="row"),
    path("<uuid:id>/measure/<slug:measure>/", grading.measure, name="measure"),
    path("<uuid:id>/uncover/", grading.uncover, name="uncover"),
    path("<uuid:id>/finish/", grading.finish, name="finish"),
    path("<uuid:id>/results/", result.results, name="results"),
    path("<uuid:id>/results/<slug:picture>.csv", result.numbers, name="result-numbers"),
    path("<uuid:id>/files/<slug:name>.csv", result.file, name="result-file"),
]
