"""The yard's addresses as they are with debug on: the page of components too."""

from __future__ import annotations

from django.urls import path

from tanwright.yard.config import urls
from tanwright.yard.shell.views import style

urlpatterns = [*urls.urlpatterns, path("style", style, name="style")]
handler400, handler403 = urls.handler400, urls.handler403
handler404, handler500 = urls.handler404, urls.handler500
