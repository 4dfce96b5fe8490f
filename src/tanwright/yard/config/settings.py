"""Settings of the yard, read from top to bottom. What may differ comes from the environment."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import dj_database_url
import tzlocal
from csp.constants import NONE, SELF

from tanwright.yard.config.environment import flag, secret_key, words, yard_folder

# Where things are

YARD_FOLDER: Path = yard_folder()
PHOTO_FOLDER = YARD_FOLDER / "photos"
BACKUP_FOLDER = YARD_FOLDER / "backups"

# Who may reach it

DEBUG = flag("TANWRIGHT_DEBUG")
LAN = flag("TANWRIGHT_LAN")
"""True when the yard is open to the local network; accounts are needed then."""
HTTPS = flag("TANWRIGHT_HTTPS", default=LAN)
ADDRESS = os.environ.get("TANWRIGHT_ADDRESS", "")
"""Where other devices find the yard, such as https://192.168.1.20:8000; empty without a network."""
SECRET_KEY = secret_key(YARD_FOLDER)
# Without sign-in no other name may lead here, or a page of another site could use the yard.
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]", *(words("TANWRIGHT_HOSTS") if LAN else [])]

# What it is made of: areas from the bottom up

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "axes",
    "csp",
    "tanwright.yard.shell",
    "tanwright.yard.people",
    "tanwright.yard.journal",
    "tanwright.yard.skins",
    "tanwright.yard.stock",
    "tanwright.yard.liquors",
    "tanwright.yard.tannage",
    "tanwright.yard.leather",
    "tanwright.yard.plants",
    "tanwright.yard.gathering",
    "tanwright.yard.trials",
    "tanwright.yard.today",
    "tanwright.yard.shed",
    "tanwright.yard.paper",
    "tanwright.yard.search",
    "tanwright.yard.exchange",
    "tanwright.yard.config",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "tanwright.yard.people.middleware.OnThisMachine",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "tanwright.yard.people.middleware.PairedDevice",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "axes.middleware.AxesMiddleware",
    "tanwright.yard.exchange.disk.DiskTrouble",
]
ROOT_URLCONF = "tanwright.yard.config.urls"
WSGI_APPLICATION = "tanwright.yard.config.wsgi.application"
TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "tanwright.yard.shell.context.reader",
            ],
            "builtins": ["tanwright.yard.shell.templatetags.words"],
        },
    }
]
FORM_RENDERER = "tanwright.yard.shell.forms.Renderer"

# Where records are kept

DATABASES: dict[str, Any] = {
    "default": dj_database_url.config(
        "TANWRIGHT_DATABASE",
        default=f"sqlite:///{YARD_FOLDER / 'yard.sqlite3'}",
        conn_max_age=600,
        conn_health_checks=True,
    )
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    DATABASES["default"]["ENGINE"] = "tanwright.yard.config.sqlite"
    DATABASES["default"]["CONN_MAX_AGE"] = None
    DATABASES["default"]["OPTIONS"] = {
        # Immediate: a writer queues at its first statement instead of failing at a later one.
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        # FULL: an acknowledged entry outlives a power cut, not only a killed process.
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
    }
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# Who is who

AUTH_USER_MODEL = "people.Person"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 10},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator",
        "OPTIONS": {"user_attributes": ["name"]},
    },
]
LOGIN_URL = "people:sign-in"
LOGIN_REDIRECT_URL = "today:today"
LOGOUT_REDIRECT_URL = "people:sign-in"
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25  # hours
AXES_USERNAME_FORM_FIELD = "username"  # the keyword of authenticate(); axes would take "name"
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_TEMPLATE = "people/locked.html"
AXES_VERBOSE = False
SESSION_COOKIE_AGE = 60 * 60 * 24 * 180
SESSION_COOKIE_NAME = "tanwright_session"
CSRF_COOKIE_NAME = "tanwright_csrf"
CSRF_FAILURE_VIEW = "tanwright.yard.shell.views.csrf_refused"

# What a browser may do with our pages

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "blob:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
# The port speaks TLS alone, so this redirects nothing; it refuses to answer in the clear.
SECURE_SSL_REDIRECT = HTTPS
# An hour, renewed with each page: a .local name that goes back to plain http is free soon. Browsers
# heed it neither for addresses nor before the certificate is trusted.
SECURE_HSTS_SECONDS = 3600 if HTTPS else 0
# W005, W021: names below a machine's own name do not exist, and no list of public sites takes it.
SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Lax"
FILE_UPLOAD_PERMISSIONS = 0o600  # photos are for the yard alone
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2_000
MOST_PHOTO_BYTES = 25_000_000
"""A larger upload is refused before it is opened."""

# Language and time

LANGUAGE_CODE = "en-gb"
USE_I18N = False
USE_TZ = True
TIME_ZONE = tzlocal.get_localzone_name() or "UTC"

# Files that come with the program

STATIC_URL = "static/"
STATIC_ROOT = YARD_FOLDER / "static"
STORAGES: dict[str, Any] = {
    "default": {
        "BACKEND": "django.core.files.storage.FileSystemStorage",
        "OPTIONS": {"location": PHOTO_FOLDER},
    },
    "staticfiles": {
        "BACKEND": (
            "django.contrib.staticfiles.storage.StaticFilesStorage"
            if DEBUG
            else "whitenoise.storage.CompressedManifestStaticFilesStorage"
        ),
    },
}
WHITENOISE_USE_FINDERS = DEBUG

# What the terminal shows: faults of ours and of the disk, not what strangers try

LOGGING: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {message}", "style": "{"}},
    "handlers": {"terminal": {"class": "logging.StreamHandler", "formatter": "line"}},
    "loggers": {
        "django": {"handlers": ["terminal"], "level": "ERROR", "propagate": False},
        "django.security.DisallowedHost": {"level": "CRITICAL"},
        "tanwright": {"handlers": ["terminal"], "level": "INFO"},
    },
}

# How a forecast is renewed after an entry: "worker" (a process beside the server) or "inline"

FORECASTS = "worker"
FORECAST_MEMBERS = 1000
