"""A drawn sheet as a file, by the ending of its name."""

from typing import Literal, get_args

from service.documents.drawing.sheet import Sheet
from service.documents.drawing.svg import plain_text, write_svg
from service.documents.typesetting import typeset

Ending = Literal["svg", "dxf", "pdf"]
ENDINGS: tuple[Ending, ...] = get_args(Ending)


def write_sheet(sheet: Sheet, ending: Ending) -> bytes:
    """The sheet in one of the formats; the same sheet gives the same bytes."""
    if ending == "dxf":
        # The library costs a third of a second and 20 MB: loaded for a DXF only.
        from service.documents.drawing.dxf import write_dxf

        return write_dxf(sheet)
    return write_svg(sheet).encode() if ending == "svg" else _write_pdf(sheet)


def _write_pdf(sheet: Sheet) -> bytes:
    return typeset(
        "drawing.typ",
        data={"title": plain_text(sheet.title), "width": sheet.width, "height": sheet.height},
        pictures={"drawing.svg": write_svg(sheet).encode()},
    )
