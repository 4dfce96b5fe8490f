"""Signing in and out, pairing, and each person's own page."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import authenticate
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from tanwright.errors import InputError
from tanwright.yard.people import devices, pairing, queries, services
from tanwright.yard.people.access import person_of
from tanwright.yard.people.forms import DeviceForm, PasswordForm, SignInForm, UnitsForm
from tanwright.yard.people.models import Device, Person
from tanwright.yard.people.showing import code_shown

_NOT_KNOWN = InputError(
    "this name and this password do not belong together", remedy="look at both again"
)


@login_not_required
@never_cache
@sensitive_post_parameters("password")
def sign_in(request: HttpRequest) -> HttpResponse:
    """Name and password."""
    goal = _goal(request, reverse("today:today"))
    if request.user.is_authenticated:
        return redirect(goal)
    form = SignInForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data["name"]
        # Spelt as it is kept: the limit then counts "Anna" and "anna" as one.
        name = queries.name_as_kept(typed) or typed.casefold()
        person = authenticate(request, username=name, password=form.cleaned_data["password"])
        if isinstance(person, Person):
            device = Device.objects.create(person=person, name="browser, by password")
            devices.sign_in(request, device, seconds=devices.SIGNED_IN_SECONDS)
            return redirect(goal)
        form.add_problem(_NOT_KNOWN)
    return render(request, "people/sign_in.html", {"form": form, "goal": goal})


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End this browser's session."""
    devices.sign_out(request)
    messages.success(request, "You are signed out.")
    return redirect("people:sign-in" if settings.LAN else "today:today")


@login_not_required
@never_cache
def pair(request: HttpRequest, code: str) -> HttpResponse:
    """What a phone opens from the picture: name the device, and it is signed in."""
    form = DeviceForm(request.POST or None)
    try:
        person = pairing.whose(code)
        if request.method == "POST" and form.is_valid():
            device = pairing.pair(code, form.cleaned_data["name"])
            devices.sign_in(request, device, seconds=devices.PAIRED_SECONDS)
            messages.success(request, f"This device is paired; you are {person} here.")
            return redirect("today:today")
    except pairing.PairingError as error:
        return render(request, "people/refused.html", {"error": error}, status=410)
    return render(request, "people/pair.html", {"form": form, "someone": person})


@never_cache
def me(request: HttpRequest) -> HttpResponse:
    """Units, calendar, devices and password of the reader."""
    return _me(request)


@require_POST
def units(request: HttpRequest) -> HttpResponse:
    """Read in other units from now on; leads back to the page it was chosen on."""
    form = UnitsForm(request.POST)
    if not form.is_valid():
        return _me(request, units_form=form)
    services.choose_units(person_of(request), form.cleaned_data["units"])
    return redirect(_goal(request, reverse("people:me")))


@require_POST
@sensitive_post_parameters("password")
def my_password(request: HttpRequest) -> HttpResponse:
    """Choose one's own password."""
    form = PasswordForm(request.POST)
    if form.is_valid():
        try:
            services.choose_password(request, person_of(request), form.cleaned_data["password"])
        except InputError as error:
            form.add_problem(error, "password")
        else:
            messages.success(request, "Your password is set; your other devices are signed out.")
            return redirect("people:me")
    return _me(request, password_form=form)


@require_POST
def calendar(request: HttpRequest) -> HttpResponse:
    """Close the old calendar address and open another."""
    services.new_calendar_address(person_of(request))
    messages.success(request, "Your calendar has a new address; the old one is closed.")
    return redirect("people:me")


@require_POST
@never_cache
def pair_mine(request: HttpRequest) -> HttpResponse:
    """The code that pairs one's own phone, shown this once."""
    person = person_of(request)
    return code_shown(request, person, pairing.make_code(person))


@require_POST
def revoke(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """End a device's session: one's own, or anybody's for a keeper."""
    device = get_object_or_404(Device.objects.select_related("person"), pk=pk)
    reader = person_of(request)
    if device.person_id != reader.pk and not reader.is_keeper:
        raise PermissionDenied("Only a keeper may sign out the devices of others.")
    devices.revoke(device)
    messages.success(request, f"{device.name} is signed out.")
    if device.person_id == reader.pk:
        return redirect("people:me")
    return redirect("people:person", device.person_id)


def _me(
    request: HttpRequest,
    units_form: UnitsForm | None = None,
    password_form: PasswordForm | None = None,
) -> HttpResponse:
    person = person_of(request)
    context = {
        "person": person,
        "devices": queries.devices_of(person),
        "base": queries.base_address(request),
        "units_form": units_form or UnitsForm(initial={"units": person.system}),
        "password_form": password_form or PasswordForm(),
    }
    return render(request, "people/me.html", context)


def _goal(request: HttpRequest, otherwise: str) -> str:
    """Where to go on: the ``next`` that was sent along, if it is a path of this yard."""
    told = request.POST.get("next") or request.GET.get("next") or ""
    # A word without a slash would be looked up as the name of a page, and not be found.
    safe = told.startswith("/") and url_has_allowed_host_and_scheme(
        told, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return told if safe else otherwise
