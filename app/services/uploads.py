"""Files people send: kept as they came until their preview is accepted or they are let go."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import delete, select

from app.access.gate import access_farm
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid, NotFound
from app.records.history import Upload
from app.units.sentences import Sentence

KEPT = timedelta(days=3)


def keep_upload(work: Work, farm_id: int, permission: Permission, purpose: str, filename: str, body: bytes) -> Upload:
    """Keep a file for its preview. Uploads nobody accepted within three days are let go."""
    access_farm(work, farm_id, permission)
    if not body:
        raise Invalid({"file": Sentence("Please choose a file. The one sent is empty.")})
    most = work.upload_most_bytes
    if len(body) > most:
        raise Invalid(
            {"file": Sentence("The file has {got} bytes; at most {most} are taken.", got=len(body), most=most)}
        )
    work.session.execute(delete(Upload).where(Upload.created_at < work.now() - KEPT, Upload.taken_at.is_(None)))
    name = filename.replace("\\", "/").rsplit("/", 1)[-1][:200] or "file"
    row = Upload(
        farm_id=farm_id,
        account_id=work.actor.account_id,
        purpose=purpose,
        filename=name,
        body=body,
        answers={},
        created_at=work.now(),
    )
    work.session.add(row)
    work.session.flush()
    return row


def access_upload(work: Work, farm_id: int, upload_id: int, permission: Permission, purpose: str) -> Upload:
    """An upload that still waits for a yes."""
    access_farm(work, farm_id, permission)
    wanted = select(Upload).where(
        Upload.id == upload_id, Upload.farm_id == farm_id, Upload.purpose == purpose, Upload.taken_at.is_(None)
    )
    row = work.session.scalar(wanted)
    if row is None:
        raise NotFound("upload")
    return row


def answer_upload(work: Work, upload: Upload, answers: dict[str, str]) -> None:
    """Remember answers to the questions its preview asked."""
    upload.answers = {**upload.answers, **answers}


def take_upload(work: Work, upload: Upload) -> None:
    """Its content has been taken over; the file itself need not be kept."""
    upload.taken_at = work.now()
    upload.body = b""
