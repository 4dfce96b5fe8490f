"""Sets pages as PDF with typst. What people typed goes in as data and is never read as markup."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any


def set_pages(template: bytes, data: Mapping[str, Any]) -> bytes:
    """``template`` (typst markup) set with ``data`` (JSON's own types), as PDF.

    Accessible (PDF/UA-1) where a font can be found for every letter.  The main font comes with
    typst, so that a page looks alike on every machine; the machine's own serve rarer scripts.
    """
    # The library is heavy to import; a command that prints nothing should not wait for it.
    import typst

    told = {"data": json.dumps(data, ensure_ascii=False)}
    try:
        pdf = typst.compile(template, format="pdf", sys_inputs=told, pdf_standards=["ua-1"])
    except typst.TypstError as error:
        # The standard forbids a letter that no font of this machine has; a box is better than no
        # page.
        if "could not be displayed" not in str(error):
            raise
        pdf = typst.compile(template, format="pdf", sys_inputs=told)
    if not isinstance(pdf, bytes):
        raise TypeError("typst gave no single document")
    return pdf
