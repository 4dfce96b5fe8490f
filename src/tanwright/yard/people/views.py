"""Pages on the people of the yard, for its keepers."""

from __future__ import annotations

import uuid

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from tanwright.errors import InputError
from tanwright.yard.people import pairing, queries, services
from tanwright.yard.people.access import keeper_only
from tanwright.yard.people.forms import PasswordForm, PersonForm, RoleForm
from tanwright.yard.people.models import Person
from tanwright.yard.people.showing import code_shown


@keeper_only
def people(request: HttpRequest) -> HttpResponse:
    """Everybody, with what they may do and when they were last here."""
    return render(request, "people/people.html", {"people": queries.people()})


@keeper_only
def new(request: HttpRequest) -> HttpResponse:
    """Add somebody."""
    form = PersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            added = services.add_person(**form.cleaned_data)
        except InputError as error:
            form.add_problem(error, error.place)
        else:
            messages.success(request, f"{added} works in the yard now.")
            return redirect("people:person", added.pk)
    return render(request, "people/new.html", {"form": form})


@keeper_only
def person(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """One person: role, password, devices."""
    return _person(request, get_object_or_404(Person, pk=pk))


@keeper_only
@require_POST
def role(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Make somebody keeper or helper."""
    someone = get_object_or_404(Person, pk=pk)
    form = RoleForm(request.POST)
    if form.is_valid():
        try:
            services.set_role(someone, form.cleaned_data["role"])
        except InputError as error:
            form.add_problem(error, "role")
        else:
            messages.success(request, f"{someone} is a {someone.role} now.")
            return redirect("people:person", pk)
    return _person(request, someone, role_form=form)


@keeper_only
@require_POST
def password(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Give somebody a new password."""
    someone = get_object_or_404(Person, pk=pk)
    form = PasswordForm(request.POST)
    if form.is_valid():
        try:
            services.reset_password(someone, form.cleaned_data["password"])
        except InputError as error:
            form.add_problem(error, "password")
        else:
            messages.success(request, f"{someone} has a new password and is signed out everywhere.")
            return redirect("people:person", pk)
    return _person(request, someone, password_form=form)


@keeper_only
@require_POST
def stop(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """Let somebody in no more, or again."""
    someone = get_object_or_404(Person, pk=pk)
    try:
        if someone.is_active:
            services.deactivate(someone)
            messages.success(request, f"{someone} can no longer come in; the log stays as it is.")
        else:
            services.reactivate(someone)
            messages.success(request, f"{someone} may come in again.")
    except InputError as error:
        messages.error(request, f"{error.what.capitalize()}; {error.remedy}.")
    return redirect("people:person", pk)


@keeper_only
@require_POST
@never_cache
def show_code(request: HttpRequest, pk: uuid.UUID) -> HttpResponse:
    """The code that pairs a phone for somebody else, shown this once."""
    someone = get_object_or_404(Person, pk=pk, is_active=True)
    return code_shown(request, someone, pairing.make_code(someone))


def _person(
    request: HttpRequest,
    someone: Person,
    role_form: RoleForm | None = None,
    password_form: PasswordForm | None = None,
) -> HttpResponse:
    context = {
        "someone": someone,
        "devices": queries.devices_of(someone),
        "role_form": role_form or RoleForm(initial={"role": someone.role}),
        "password_form": password_form or PasswordForm(),
    }
    return render(request, "people/person.html", context)
