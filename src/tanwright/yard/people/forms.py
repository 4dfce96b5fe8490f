"""Forms on people, sign-in and pairing."""

from __future__ import annotations

from django import forms

from tanwright.yard.people.models import Person
from tanwright.yard.shell.forms import YardForm


def _name(label: str = "Name", **kwargs: object) -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=60,
        widget=forms.TextInput(
            attrs={"autocomplete": "username", "autocapitalize": "off", "spellcheck": "false"}
        ),
        **kwargs,  # type: ignore[arg-type]
    )


def _password(label: str, *, new: bool = False, **kwargs: object) -> forms.CharField:
    kept = "new-password" if new else "current-password"
    return forms.CharField(
        label=label,
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": kept}),
        **kwargs,  # type: ignore[arg-type]
    )


class SignInForm(YardForm):
    """Who somebody is."""

    name = _name()
    password = _password("Password")


class PersonForm(YardForm):
    """Somebody new."""

    name = forms.CharField(
        label="Name", max_length=60, help_text="As the others call them. It stands in the log."
    )
    role = forms.ChoiceField(
        label="What they may do",
        choices=Person.Role.choices,
        initial=Person.Role.HELPER,
        widget=forms.RadioSelect,
    )
    password = _password(
        "Password",
        new=True,
        required=False,
        help_text="10 letters or more. Empty: they come in by a phone that you pair for them.",
    )


class RoleForm(YardForm):
    """What somebody may do."""

    role = forms.ChoiceField(
        label="What they may do", choices=Person.Role.choices, widget=forms.RadioSelect
    )


class PasswordForm(YardForm):
    """A new password, typed once: the browser can show it, and a keeper can set another."""

    password = _password("New password", new=True, help_text="10 letters or more.")


class UnitsForm(YardForm):
    """Which units somebody reads."""

    units = forms.ChoiceField(
        label="Units", choices=Person.System.choices, widget=forms.RadioSelect
    )


class DeviceForm(YardForm):
    """What a device is called."""

    name = forms.CharField(
        label="Name of this device",
        max_length=60,
        initial="phone",
        help_text="It stands in the log beside what was noted with it.",
    )
