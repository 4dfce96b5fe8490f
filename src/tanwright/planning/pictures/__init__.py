"""Three pictures of an answer as plain SVG files, each with its words and its numbers beside it."""

from tanwright.planning.pictures.reader import METRIC, US, Reader, reader_of
from tanwright.planning.pictures.writing import PICTURES, Picture, draw_pictures, write_pictures

__all__ = [
    "METRIC",
    "PICTURES",
    "US",
    "Picture",
    "Reader",
    "draw_pictures",
    "reader_of",
    "write_pictures",
]
