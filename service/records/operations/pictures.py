"""Pictures: entering a cleaned photograph, which is laid in the blob store once its row stands."""

from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from service.records.history import Signature, write_line
from service.records.models import Commission, Picture
from service.records.operations.lookup import require_named


def enter_picture(
    session: Session, *, commission_id: int, sha256: str, signed: Signature, **particulars: Any
) -> Picture:
    """Enter a picture of a commission; the same picture again gives the record it already has."""
    require_named(session, Commission, commission_id, field="commission_id")
    present = session.scalar(
        sa.select(Picture).where(Picture.commission_id == commission_id, Picture.sha256 == sha256)
    )
    if present is not None:
        return present
    picture = Picture(
        commission_id=commission_id, sha256=sha256, created_at=signed.now, **particulars
    )
    session.add(picture)
    session.flush()  # the audit line needs the new id
    write_line(session, "created", picture, after={"sha256": sha256}, signed=signed)
    return picture
