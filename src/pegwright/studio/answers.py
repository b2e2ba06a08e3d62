"""Files as answers: to be taken away, or shown in the page."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping

from starlette.responses import Response

__all__ = ["NOTHING_ELSE", "file_answer", "zipped"]

NOTHING_ELSE = "default-src 'none'"
"""The content policy of a file that fetches and runs nothing."""

_BEFORE_ALL = (1980, 1, 1, 0, 0, 0)


def file_answer(
    data: bytes, media_type: str, name: str, *, download: bool = True, policy: str | None = None
) -> Response:
    """A file as an answer, which no browser keeps.

    :param download: to be taken away; else it is shown in the page.
    :param policy: its content policy; None for the one of the studio's pages.
    """
    how = "attachment" if download else "inline"
    headers = {"content-disposition": f'{how}; filename="{name}"', "cache-control": "no-store"}
    if policy is not None:
        headers["content-security-policy"] = policy
    return Response(data, media_type=media_type, headers=headers)


def zipped(files: Mapping[str, bytes]) -> bytes:
    """The files in one zip; the same files give the same bytes."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            member = zipfile.ZipInfo(name, _BEFORE_ALL)
            member.compress_type = zipfile.ZIP_DEFLATED
            member.external_attr = 0o644 << 16
            archive.writestr(member, data)
    return stream.getvalue()
