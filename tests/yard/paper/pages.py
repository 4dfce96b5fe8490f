"""Reads a PDF back with another library than the one that set it."""

from __future__ import annotations

import io

from pypdf import PdfReader


def text_of(pdf: bytes) -> tuple[int, str]:
    """Number of pages, and all text with its line breaks taken out."""
    reader = PdfReader(io.BytesIO(pdf))
    text = " ".join(page.extract_text() for page in reader.pages)
    return len(reader.pages), " ".join(text.split())
