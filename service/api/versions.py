"""Versions on the wire: the ETag of what was read, and If-Match as RFC 9110 (13.1.1) reads it."""

import re

from flask import Response, g, request

from service.api.preferences import asked_measure
from service.api.problems import VersionNeeded
from service.records.errors import RecordError, Stale
from service.records.models import Scope


class WeakTag(Stale):
    """If-Match with a weak tag of the version that is there."""

    code = "weak-tag"

    def __init__(self) -> None:
        RecordError.__init__(
            self,
            "A weak tag (W/…) never matches in If-Match. Send the ETag as the service gave it; a "
            "proxy between may have weakened it.",
        )


TAG = re.compile(r"(?P<version>0|[1-9][0-9]{0,8})(?:\.(?P<content>[0-9a-f]{16}))?(?:-[a-z]+)*")
"""Version, digest of the content, the measure in which it was shown, and to whom."""
LISTED = re.compile(r'\s*(?:(?P<weak>W/)?"(?P<quoted>[^"]*)"|(?P<bare>[^",\s]+))?\s*(?:,|$)')
"""One member of If-Match; quotes are easily lost in a shell, and a bare tag is taken too."""


def show_version(version: int, content: str | None = None) -> None:
    """Make `version` the ETag of this request's answer.

    `content` is a digest of what the answer shows beside the record, where that can change while
    the record does not.
    """
    g.tag = str(version) if content is None else f"{version}.{content}"


def tag_answer(response: Response) -> Response:
    """Give the answer its ETag, which differs with the measure and with what its asker may see."""
    if (tag := g.pop("tag", None)) is not None:
        preferred = asked_measure()
        response.set_etag((tag if preferred is None else f"{tag}-{preferred}") + _audience())
    return response


def answer_conditionally(response: Response) -> Response:
    """The tagged answer of a reading, or 304, or a refusal, as the request's conditions have it."""
    if "tag" not in g:  # without one there is nothing to compare
        return response
    environ = request.environ
    if "HTTP_IF_MATCH" in environ:  # werkzeug knows no `*` here, and would refuse with the record
        tag = TAG.fullmatch(g.tag)
        match_version("record", int(tag["version"]), tag["content"])  # type: ignore[index]
        environ = {name: each for name, each in environ.items() if name != "HTTP_IF_MATCH"}
    answer = tag_answer(response)
    answer.make_conditional(environ)
    return answer


def retag(response: Response) -> Response:
    """Let an answer that was kept for a token of another scope bear the tag of this asker."""
    tag, _ = response.get_etag()
    if tag is not None:
        for scope in Scope:
            tag = tag.removesuffix(f"-{scope}")
        response.set_etag(tag + _audience())
    return response


def require_version() -> None:
    """Raise `VersionNeeded` where the request does not say what it changes."""
    if not request.headers.get("If-Match"):
        raise VersionNeeded


def match_version(noun: str, current: int, content: str | None = None) -> int:
    """The version a record is at, if If-Match names it; raise `Stale` otherwise.

    A tag that bears a digest matches where `content` has it too; `*` matches whatever is there.
    Tags are compared strongly: a weak one never matches.
    """
    require_version()
    header = request.headers["If-Match"].strip()
    weak = [bool(each["weak"]) for each in _read_list(header) if _is(each, current, content)]
    if header == "*" or False in weak:
        return current
    raise WeakTag if weak else Stale(noun)


def _read_list(header: str) -> list[re.Match[str]]:
    """The members; none of a list that is not well formed."""
    members, place = [], 0
    while place < len(header):
        member = LISTED.match(header, place)
        if member is None:
            return []
        members.append(member)
        place = member.end()
    return members


def _is(listed: re.Match[str], version: int, content: str | None) -> bool:
    tag = TAG.fullmatch(listed["bare"] or listed["quoted"] or "")
    if tag is None or int(tag["version"]) != version:
        return False
    return tag["content"] in {None, content or tag["content"]}


def _audience() -> str:
    """What a tag says of its asker: owners see all, and others less."""
    scope: Scope = g.asker.scope
    return "" if scope is Scope.OWNER else f"-{scope}"
