"""The yard's settings for tests: a folder of its own, forecasts at once, plain static files."""

from __future__ import annotations

import os
import tempfile

# A process that runs tests beside others has a folder of its own, whatever its parent was given.
if "TANWRIGHT_YARD" not in os.environ or "PYTEST_XDIST_WORKER" in os.environ:
    os.environ["TANWRIGHT_YARD"] = tempfile.mkdtemp(prefix="tanwright-test-")

from tanwright.yard.config.settings import *  # noqa: F403
from tanwright.yard.config.settings import MIDDLEWARE, STORAGES

FORECASTS = "inline"
FORECAST_MEMBERS = 100
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    **STORAGES,
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
MIDDLEWARE = [name for name in MIDDLEWARE if "whitenoise" not in name]
ALLOWED_HOSTS = ["testserver", "localhost", "127.0.0.1"]
