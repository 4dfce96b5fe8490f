"""Addresses of this area."""

from __future__ import annotations

from django.urls import URLPattern, path

from tanwright.yard.people import account, trusting, views

app_name = "people"
urlpatterns: list[URLPattern] = [
    path("", views.people, name="people"),
    path("new/", views.new, name="new"),
    path("someone/<uuid:pk>/", views.person, name="person"),
    path("someone/<uuid:pk>/role/", views.role, name="role"),
    path("someone/<uuid:pk>/password/", views.password, name="password"),
    path("someone/<uuid:pk>/stop/", views.stop, name="stop"),
    path("someone/<uuid:pk>/pair/", views.show_code, name="show-code"),
    path("me/", account.me, name="me"),
    path("me/units/", account.units, name="units"),
    path("me/password/", account.my_password, name="my-password"),
    path("me/calendar/", account.calendar, name="calendar"),
    path("me/pair/", account.pair_mine, name="pair-mine"),
    path("device/<uuid:pk>/revoke/", account.revoke, name="revoke"),
    path("pair/<str:code>/", account.pair, name="pair"),
    path("sign-in/", account.sign_in, name="sign-in"),
    path("sign-out/", account.sign_out, name="sign-out"),
    path("trust/", trusting.trust, name="trust"),
    path("trust/yard.crt", trusting.authority, name="authority"),
]
