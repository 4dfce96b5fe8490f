"""Sets pages as PDF with typst. What people typed goes in as data and is never read as markup."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

import typst


def set_pages(name: str, data: dict[str, Any]) -> bytes:
    """The template ``typeset/<name>.typ`` set with ``data`` (JSON's own types), as PDF.

    Accessible (PDF/UA-1) where a font can be found for every letter.  The main font comes with
    typst, so that a page looks alike on every machine; the machine's own serve rarer scripts.
    """
    source = files(__package__).joinpath("typeset", f"{name}.typ").read_bytes()
    told = {"data": json.dumps(data, ensure_ascii=False)}
    try:
        pdf = typst.compile(source, format="pdf", sys_inputs=told, pdf_standards=["ua-1"])
    except typst.TypstError as error:
        # The standard forbids a letter that no font of this machine has; a box is better than no
        # page.
        if "could not be displayed" not in str(error):
            raise
        pdf = typst.compile(source, format="pdf", sys_inputs=told)
    if not isinstance(pdf, bytes):
        raise TypeError("typst gave no single document")
    return pdf
