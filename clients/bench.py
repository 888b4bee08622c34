"""The bench script: hours, notes, parts and checks from a phone's Python, with or without network.

One file; it needs Python 3.9 and `requests`. Whatever is noted is first kept in a spool folder,
with its day and its idempotency key, and is then sent in the order of noting. It leaves the spool
only when the server's answer is known. Every request of an entry is the same on every try and has
a key of its own, so nothing has to be written down while sending: a lost signal, a dead battery, a
full store or a second press sends nothing twice and loses nothing. What cannot be understood,
sent or read is set aside with the reason, to be mended.

Exit codes: 0 done, 1 refused, 2 not understood, 3 not sent yet (what was noted waits in the spool),
4 not kept, 130 stopped.
"""

from __future__ import annotations

import argparse
import configparser
import datetime as dt
import hashlib
import io
import json
import os
import re
import shlex
import signal
import sys
import textwrap
import time
import uuid
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass, field, replace
from email.utils import parsedate_to_datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

if TYPE_CHECKING:
    import requests  # loaded by Server: what is noted is kept even where it is missing

DONE, REFUSED, USAGE, WAITS, NOT_KEPT, STOPPED = 0, 1, 2, 3, 4, 130
WIDTH = 40
TIMEOUT = (5, 30)
"""Seconds to connect, and to wait for an answer."""
LARGEST_PHOTO = 20_000_000
MOST_PHOTOS = 12
PRESSED_TWICE = 30
"""Seconds within which the same words again are taken for a second press."""
PATIENCE = 10.0
"""Seconds to wait for another run of this script."""
CLOCKS_DIFFER = 3600
"""Seconds by which a clock may be wrong before the day it gave is doubted."""
REMEMBERED = dt.timedelta(days=80)
"""The server knows a key again for 90 days; an older entry could be written a second time."""
LARGEST_ENTRY = 4_000_000
ONE_DAY = 86_400
STRANGER = "What answers is not the service. Check the address and the network."
NOT_FINAL = {401, 403, 408, 425, 429}
"""Refusals of the moment or of the token, not of what was noted: it is kept and sent later."""

OPERATIONS = (
    "measuring", "drawing", "marking_out", "sawing", "filing", "drilling", "reaming", "turning",
    "milling", "threading", "bending", "silver_soldering", "soft_soldering", "lapping", "fitting",
    "piping", "lagging", "woodwork", "painting", "polishing", "hydraulic_test", "steaming",
    "fault_finding", "sublet", "reporting", "packing", "ordering", "quoting", "tool_making",
    "rework", "other",
)  # fmt: skip
STATES = (
    "expected", "received", "on_bench", "sublet", "fitted", "used_up", "returned", "spoiled",
    "lost",
)  # fmt: skip
OWNERS = ("customer", "workshop", "bought")
NOTING = {"log", "note", "part"}
NOT_NOTING = {
    "status", "send", "waiting", "mend", "setup", "demand", "fit", "thread", "index", "identify",
    "adapter", "check", "calc",
}  # fmt: skip
PICTURE_KINDS = (
    (rb"\xff\xd8\xff", "image/jpeg"),
    (rb"\x89PNG\r\n\x1a\n", "image/png"),
    (rb"RIFF....WEBP", "image/webp"),
    (rb"....ftyp.{0,40}hei[cxms]", "image/heic"),
)


class Refusal(Exception):
    """The server has said no to what was asked, and would say no again."""

    heading = "Refused"


class Doubt(Refusal):
    """A person must look at it before it is sent."""

    heading = "Set aside"


class Unsent(Exception):
    """The server was not reached, or could not or would not answer now."""


class Misuse(Exception):
    """The command cannot be understood as it stands."""


@dataclass
class Line:
    """A line as it was typed, when, and the key of what it notes; what it mends, if anything."""

    words: list[str]
    key: str = field(default_factory=lambda: str(uuid.uuid4()))
    noted: str = field(default_factory=lambda: time.strftime("%Y-%m-%dT%H:%M:%S%z"))
    mends: Aside | None = None
    in_spool: bool = False
    """Whether it has been in the spool; what is no longer there was sent."""

    def notes(self) -> bool:
        """Whether it notes something, as far as can be told; no mistyped `setup` with its token."""
        if len(self.words) < 2 or self.words[0].startswith("-") or self.words[0] in NOT_NOTING:
            return False
        if self.words[0] in NOTING:
            return self.words[:2] != ["part", "list"]
        return "cbx_" not in " ".join(self.words)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace", line_buffering=True)
    line = Line(list(sys.argv[1:] if arguments is None else arguments))
    try:
        return run(line)
    except (OSError, KeyboardInterrupt) as problem:
        return tell_failure(line, problem)


def run(line: Line) -> int:
    """Run a line; the exit code."""
    try:
        return obey(line)
    except Misuse as problem:
        say(str(problem))
        if line.notes():
            number = Spool.of_environment().keep_line(line, str(problem))
            say(f"The line is kept as {number}. Mend a word: bench.py mend {number} WRONG RIGHT")
        return USAGE
    except Refusal as problem:
        say(f"Refused: {problem}")
        return REFUSED
    except Unsent as problem:
        say(str(problem))
        return WAITS


def obey(line: Line) -> int:
    """Do what a line says; the exit code."""
    options = read_command(line)
    code: int = options.run(options)
    return code


def tell_failure(line: Line, problem: BaseException) -> int:
    """Say what broke a command off, and whether what it notes was kept; the exit code."""
    with suppress(ValueError):  # only the main thread may
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    stopped, words_of_it = isinstance(problem, KeyboardInterrupt), getattr(problem, "strerror", "")
    say("Stopped." if stopped else f"This device failed: {words_of_it or problem}.")
    code = STOPPED if stopped else REFUSED
    if not line.notes():
        return code
    try:
        held = Spool.of_environment().holds(line.key)
    except OSError:
        say("It cannot be seen whether it is kept; look where it should arrive.")
        return NOT_KEPT
    if not held and not line.in_spool:
        say(f"NOT KEPT and not sent: {shlex.join(line.words)}")
        return NOT_KEPT
    say("What was noted is kept: bench.py waiting" if held else "What was noted was sent.")
    return WAITS if held and not stopped else code


# --- The commands that write ---------------------------------------------------------------------


def log_labour(options: argparse.Namespace) -> int:
    """Note minutes of one operation."""
    body = given(
        operation=options.operation,
        minutes=options.minutes,
        day=day_of(options),
        note=" ".join(options.note) or None,
        billable=options.billable,
    )
    what = f"{options.minutes} {words(options.operation)}, {options.reference}"
    return post(options, what, "/labour", body)


def note_progress(options: argparse.Namespace) -> int:
    """Note what was done or found, with photos; private unless it is for the customer."""
    if options.decision and not options.customer:
        raise Misuse("A question to the customer goes with --customer.")
    if len(options.photo) > MOST_PHOTOS:
        raise Misuse(f"At most {MOST_PHOTOS} photos to a note.")
    if len(options.caption) > len(options.photo):
        raise Misuse("There are more captions than photos.")
    text = " ".join(options.text)
    body = given(
        text=text,
        day=day_of(options),
        for_customer=options.customer,
        decision_wanted=options.decision,
    )
    photos = f", {len(options.photo)} photo(s)" if options.photo else ""
    what = f"note: {textwrap.shorten(text, 60, placeholder=' …')}{photos}, {options.reference}"
    return post(options, what, "/progress", body, read_photos(options))


def day_of(options: argparse.Namespace) -> str:
    """The day that is meant: `today` is the day on which the line was typed."""
    typed = dt.date.fromisoformat(options.line.noted[:10])
    days = {"today": typed, "yesterday": typed - dt.timedelta(days=1)}
    return days[options.day].isoformat() if options.day in days else str(options.day)


def read_photos(options: argparse.Namespace) -> list[Photo]:
    """The photos of a note with their captions; those of a note that is mended are kept already."""
    mended = options.line.mends.entry.photos if options.line.mends else []
    kept = {photo.name: photo for photo in mended}
    photos = []
    for number, name in enumerate(options.photo):
        caption = options.caption[number] if number < len(options.caption) else None
        photo = kept.get(name) or check_photo(
            name, key=f"{options.line.key}.{uuid.uuid4().hex[:8]}"
        )
        photos.append(replace(photo, caption=caption, picture_id=None))
    return photos


def check_photo(name: str, *, key: str) -> Photo:
    """A photo; what the server would refuse is refused here, at once."""
    path = Path(name)
    try:
        size = path.stat().st_size
        image = path.read_bytes() if os.path.isfile(path) and size <= LARGEST_PHOTO else b""
    except OSError as problem:
        raise Misuse(f"The photo {path} cannot be read: {problem.strerror}.") from None
    if size > LARGEST_PHOTO:
        raise Misuse(
            f"The photo {path.name} is {size / 1e6:.1f} MB; send one of at most "
            f"{LARGEST_PHOTO // 1_000_000} MB."
        )
    for beginning, media_type in PICTURE_KINDS:
        if re.match(beginning, image, re.DOTALL):
            digest = hashlib.sha256(image).hexdigest()
            return Photo(key, media_type, None, digest, name=name)
    raise Misuse(f"{path.name} is not a JPEG, PNG, WebP or HEIC picture.")


def receive_part(options: argparse.Namespace) -> int:
    """Note a part line, received or expected."""
    if bool(options.thread) != bool(options.gender):
        raise Misuse("--thread and --gender go together.")
    port = {"name": "end", "gender": options.gender, "thread": options.thread}
    body = given(
        name=options.name,
        owner=options.owner,
        quantity=options.quantity,
        condition=options.condition,
        place=options.place,
        ports=[port] if options.thread else None,
        state=options.state,
    )
    what = f"{options.state} {options.quantity} x {options.name}, {options.reference}"
    return post(options, what, "/parts", body)


def move_part(options: argparse.Namespace) -> int:
    """Note that a part line, or some of it, has moved."""
    body = given(
        to_state=options.state, place=options.place, quantity=options.quantity, note=options.note
    )
    pieces = f"{options.quantity} of part" if options.quantity else "part"
    what = f"{pieces} {options.part} {words(options.state)}"
    return post(options, what, f"/parts/{options.part}/movements", body)


def post(
    options: argparse.Namespace,
    what: str,
    path: str,
    body: dict[str, Any],
    photos: Sequence[Photo] = (),
) -> int:
    """Keep an entry in the spool, then send whatever waits there, oldest first."""
    line, spool = options.line, Spool.of_environment()
    entry = Entry(
        what, path, body, getattr(options, "reference", None), list(photos), line.key, line.noted,
        words=line.words, day_by_clock=getattr(options, "day", None) in ("today", "yesterday"),
        sender=read_sender(),
    )  # fmt: skip
    twice = options.twice or line.mends is not None
    try:
        noted = spool.note(entry, twice=twice)
    except OSError:
        send_waiting(spool)  # what is sent makes room
        noted = spool.note(entry, twice=twice)
    line.in_spool = noted
    if not noted:
        say(f"Noted a moment ago, and not again: {entry.what}. Say --twice if you mean it twice.")
        line.words = ["send"]  # nothing else is left to do
    if line.mends:
        spool.forget(line.mends)
    code = send_waiting(spool)
    if code != REFUSED and spool.has_aside(entry.key):
        say(f"Set aside in another run: {entry.what}. See: bench.py waiting")
        return REFUSED
    return code


def send_spool(options: argparse.Namespace) -> int:
    """Send what waits; with --again also what was set aside, once a person has looked at it."""
    spool = Spool.of_environment()
    return send_waiting(spool, looked_at=spool.take_back() if options.again else ())


def send_waiting(spool: Spool, *, looked_at: Sequence[str] = ()) -> int:
    """Send entries in order until none is left or one cannot be sent; the exit code."""
    refused = False
    spool.tidy()
    try:
        with spool.sending():
            server = Server()
            for path in spool.take_in_turn():
                sure = path.name in looked_at
                refused |= not send_or_set_aside(spool, server, path, sure=sure)
            if server.clock:
                spool.settle_clock(server.clock)
    except Unsent as problem:
        say(str(problem))
    waiting = spool.waiting()
    show_waiting(waiting)
    if aside := len(spool.asides()):
        say(f"{aside} set aside: bench.py waiting")
    return REFUSED if refused else WAITS if waiting else DONE


def send_or_set_aside(spool: Spool, server: Server, path: Path, *, sure: bool) -> bool:
    """Send one entry and take it out of the spool, or set it aside when it is refused."""
    what = path.name
    try:
        entry = read_entry(path)
        what = entry.what
        answer = send_entry(spool, server, path, entry, sure=sure)
    except Refusal as problem:
        if not os.path.lexists(path):
            return True  # another run has sent it, where no locks can be had
        number = spool.set_aside(path, str(problem))
        say(f"{problem.heading}: {what}")
        say(str(problem), begin="  ")
        kept = f"as {number}: bench.py waiting" if number else "where it was, and tried again."
        say(f"It is kept {kept}", begin="  ")
        return False
    say(f"Sent: {what}" + (f" (part {answer['id']})" if entry.path == "/parts" else ""))
    if not spool.remove(path, entry):
        say("It cannot be taken out of the spool and goes again; the server writes it once.")
    return True


def send_entry(
    spool: Spool, server: Server, path: Path, entry: Entry, *, sure: bool
) -> dict[str, Any]:
    """Take an entry's steps in order; each is the same request to the byte on another try."""
    body = dict(entry.body)
    if entry.reference is not None:
        body["commission_id"] = server.find_commission(entry.reference)
    if not sure and (doubt := doubt_entry(entry, spool, server)):
        raise Doubt(doubt)
    for photo in entry.photos:
        if photo.picture_id is None:
            photo.picture_id = send_photo(spool, server, body["commission_id"], photo)
            with suppress(OSError):  # it only saves sending the photo again
                write_whole(path, entry.to_json())
    if entry.photos:
        body["pictures"] = list(dict.fromkeys(photo.picture_id for photo in entry.photos))
    return server.create(entry.path, key=entry.key, data=json.dumps(body).encode())


def doubt_entry(entry: Entry, spool: Spool, server: Server) -> str | None:
    """Why a person should look before this is sent: a wrong clock, great age, another's spool."""
    noted, now = read_moment(entry.noted), server.clock or time.time()
    ahead = time.time() - now
    again = "If it is right as it stands: bench.py send --again"
    if entry.origin not in ("", spool.origin()) and entry.sender != read_sender():
        return f"It comes from a copied spool and another token; it may be sent there. {again}"
    if noted < now - REMEMBERED.total_seconds():
        return f"It says that it was noted on {entry.noted[:10]}, long ago. {again}"
    if not entry.day_by_clock:
        return None
    day = f"its day {entry.body.get('day')} is doubtful: mend it with --day. {again}"
    if abs(ahead) > CLOCKS_DIFFER:
        side = "ahead of" if ahead > 0 else "behind"
        return f"This clock is {abs(ahead) / 3600:.0f} h {side} the server's; {day}"
    if noted > now + CLOCKS_DIFFER:
        return f"This clock was ahead; {day}"
    if entry.clock_went_back and noted < now - CLOCKS_DIFFER:
        return f"This clock had gone back; {day}"
    return None


def send_photo(spool: Spool, server: Server, commission_id: int, photo: Photo) -> int:
    """Send one photo; the number of its picture."""
    params = given(commission_id=commission_id, caption=photo.caption)
    picture = server.create(
        "/pictures",
        key=str(uuid.uuid5(uuid.NAMESPACE_OID, photo.key + json.dumps(params))),
        data=spool.read_photo(photo),
        media_type=photo.media_type,
        params=params,
    )
    number: int = picture["id"]
    return number


def list_waiting(options: argparse.Namespace) -> int:
    """List what waits and what was set aside; forget one of these if asked to."""
    spool = Spool.of_environment()
    if options.drop is not None:
        aside = spool.find_aside(options.drop)
        spool.forget(aside)
        say(f"Forgotten: {aside.describe()}")
    spool.tidy()
    show_waiting(spool.waiting(), most=10_000)
    for aside in spool.asides():
        say(f"Aside {aside.number}: {aside.describe()}")
        say(aside.problem, begin="  ")
    return DONE


def show_waiting(waiting: list[Path], *, most: int = 5) -> None:
    """Say what waits here, and that nothing does."""
    for path in waiting[:most]:
        say(f"Waits: {describe(path)}")
    if len(waiting) > most:
        say(f"and {len(waiting) - most} more.")
    if waiting:
        say(f"{len(waiting)} kept here. Send later: bench.py send")
    else:
        say("Nothing waits.")


def mend(options: argparse.Namespace) -> int:
    """Run a line that was set aside again, mended: WRONG RIGHT, more options, or a whole line."""
    line, aside = options.line, Spool.of_environment().find_aside(options.number)
    if aside.entry is None:
        raise Misuse(f"{aside.describe()} is no line that can be mended.")
    mended = mend_words(aside.entry.words, options.change)
    if not Line(mended).notes():
        raise Misuse(f"That notes nothing: {shlex.join(mended)}")
    say(f"Now: {shlex.join(mended)}")
    line.words, line.key, line.noted = mended, aside.entry.key, aside.entry.noted
    line.mends = aside
    try:
        return obey(line)
    except Misuse:
        if mended == options.change:
            line.words = ["mend"]  # the line set aside stays, not this new one
        raise


def mend_words(typed: list[str], change: list[str]) -> list[str]:
    """The words of a line, changed; an option that is named gets another value."""
    if change[:1] == ["--"]:
        change = change[1:]
    if change and (not typed or change[0] in NOTING):
        return change
    if len(change) == 2 and change[0] in typed:
        wrong, right = change
        valued = wrong.startswith("-") and right and not right.startswith("-")
        place = typed.index(wrong) + bool(valued)
        return typed[:place] + ([right] if right else []) + typed[place + 1 :]
    if not change or change[0].startswith("-"):
        return typed + change
    if len(change) == 2:
        raise Misuse(f"The line has no word '{change[0]}': {shlex.join(typed)}")
    raise Misuse("Write the wrong word and the right one, options, or the whole line.")


# --- The commands that ask -----------------------------------------------------------------------


def show_status(options: argparse.Namespace) -> int:
    """Show where a commission stands, and what of it waits here."""
    spool = Spool.of_environment()
    try:
        server = Server()
        commission_id = server.find_commission(options.reference)
        show_summary(server.ask("GET", f"/commissions/{commission_id}/summary"))
    finally:
        waiting = [path for path in spool.waiting() if is_about(path, options.reference)]
        say(f"Waiting here: {len(waiting)} of this, {len(spool.waiting())} in all.")
        for path in waiting:
            say(describe(path), begin="- ")
        if aside := len(spool.asides()):
            say(f"Set aside: {aside}. See: bench.py waiting")
    return DONE


def show_summary(summary: dict[str, Any]) -> None:
    """A commission's stage, hours, parts and open decisions."""
    say(f"{summary['reference']} {summary['title']}")
    row("stage", words(summary["stage"]))
    row("promised", summary["promised"])
    row("hours", hours_against_estimate(summary))
    if summary["near_estimate"]:
        row("", "! 80 % of the estimate or more is used")
    parts = [f"{number} {words(state)}" for state, number in summary["parts_by_state"].items()]
    row("parts", ", ".join(parts) or "none")
    row("decisions", f"{len(summary['decisions'])} open")
    for decision in summary["decisions"]:
        say(f"{decision['day']} {decision['decision_wanted']}", begin="- ")


def hours_against_estimate(summary: dict[str, Any]) -> str:
    """The hours charged, and what is left of the estimate."""
    spent, left = summary["billable_minutes"], summary["minutes_left"]
    free = summary["minutes"] - spent
    unbilled = f", and {hours(free)} not charged" if free else ""
    if left is None:
        return f"{hours(spent)}, no estimate{unbilled}"
    remains = f"{hours(left)} left" if left >= 0 else f"{hours(-left)} over"
    return f"{hours(spent)} of {hours(spent + left)}, {remains}{unbilled}"


def list_parts(options: argparse.Namespace) -> int:
    """List a commission's part lines with their numbers."""
    server = Server()
    commission_id = server.find_commission(options.reference)
    parts = list(server.list_all("/parts", commission_id=commission_id))
    for part in parts:
        say(f"{part['quantity']} x {part['name']}", begin=f"{part['id']:>4} ", under=" " * 5)
        place = f", {part['place']}" if part["place"] else ""
        say(f"{words(part['state'])}{place}; {part['owner']}", begin=" " * 5)
    if not parts:
        say("No parts are entered.")
    return DONE


def calculate_demand(options: argparse.Namespace) -> int:
    """Show what engines take."""
    body = read_engines(options.file) if options.file else {"engines": [describe_engine(options)]}
    body.update(
        given(pressure=options.pressure, back_pressure=options.back, feed_temperature=options.feed)
    )
    answer = Server().calculate("steam-demand", body)
    engines = answer["engines"]
    for engine in engines:
        say(engine["name"])
        show_demand(engine)
        row("mean p.", engine["mean_effective_pressure"]["text"])
    if len(engines) > 1:
        say("All together")
        show_demand(answer)
    show_findings(answer)
    return DONE


def describe_engine(options: argparse.Namespace) -> dict[str, Any]:
    """The engine on the command line, in the API's words."""
    return given(
        name=options.name,
        bore=options.bore,
        stroke=options.stroke,
        speed=options.speed,
        cylinders=options.cylinders,
        acting=options.acting,
        cut_off=options.cut_off,
        clearance=options.clearance,
        condensation=options.condensation,
        piston_rod=options.rod,
    )


def read_engines(path: str) -> dict[str, Any]:
    """A file of engines: a list of them, or a whole request, in the API's words."""
    try:
        content = json.loads(Path(path).read_text(encoding="utf-8"))
    except (OSError, ValueError) as problem:
        raise Misuse(f"{path} cannot be read: {problem}") from None
    if isinstance(content, list):
        return {"engines": content}
    if isinstance(content, dict):
        return content
    raise Misuse(f"{path} holds neither a list of engines nor a request.")


def show_demand(demand: dict[str, Any]) -> None:
    """Steam, heat and power."""
    row("steam", band(demand["steam"]))
    row("dry", demand["dry_steam"]["text"])
    row("heat", band(demand["heat"]))
    row("power", f"{demand['indicated_power']['text']} indicated")


def check_fit(options: argparse.Namespace) -> int:
    """Show whether a male goes into a female, and what makes it good."""
    if bool(options.found) != bool(options.wanted):
        raise Misuse("--found and --wanted go together.")
    male = given(
        thread=options.male,
        length=options.length,
        bore=options.bore,
        material=options.male_material,
        owner=options.male_owner,
    )
    female = given(
        thread=options.female,
        depth=options.depth,
        boss=options.boss,
        drilled=options.drilled,
        material=options.female_material,
        owner=options.female_owner,
    )
    points = given(found=options.found, wanted=options.wanted) or None
    body = given(male=male, female=female, pressure=options.pressure, points=points)
    answer = Server().calculate("fitting-check", body)
    say(f"{options.male} into {options.female}")
    say(words(answer["verdict"]).upper())
    show_reasons(answer["findings"])
    for number, remedy in enumerate(answer["remedies"], 1):
        show_remedy(number, remedy, steps=options.steps)
    if answer.get("indexing"):
        say("To point it:")
        show_indexing(answer["indexing"])
    show_cautions(answer)
    return DONE


def show_reasons(findings: list[dict[str, Any]]) -> None:
    """What speaks against the joint; what speaks for it when nothing does."""
    against = [finding for finding in findings if finding["level"] != "ok"]
    for finding in against or findings:
        show_finding(finding)


def show_remedy(number: int, remedy: dict[str, Any], *, steps: bool) -> None:
    """One way to make the joint good, or why it is refused."""
    refused = " REFUSED" if remedy["refused"] else ""
    say(f"{number}.{refused} {remedy['title']}, {remedy['minutes']:.0f} min")
    if remedy["refused"] and remedy["refusal"]:
        say(remedy["refusal"]["text"], begin="   ")
        return
    say(remedy["summary"], begin="   ")
    if remedy["wall_left"]:
        say(f"wall left {size(remedy['wall_left'])}", begin="   ")
    say(f"seal: {remedy['sealing']['method']}", begin="   ")
    if remedy["alters_customers_property"]:
        say("! alters the customer's property", begin="   ")
    if remedy["decision_wanted"]:
        say("! ask the customer first", begin="   ")
    for step in remedy["steps"] if steps else []:
        say(f"{step['text']} [{step['tool']}]", begin=f"   {step['number']:>2} ")


def show_thread(options: argparse.Namespace) -> int:
    """Show a thread's sizes and its tapping drills."""
    body = given(
        thread=options.thread,
        drill=options.drill,
        material=options.material,
        male_class=options.male_class,
        female_class=options.female_class,
        distance=options.at or options.inside,
        distance_from="gauge plane" if options.inside else None,
    )
    answer = Server().calculate("thread", body)
    per_inch = answer["threads_per_inch"]
    say(answer["designation"])
    row("angle", answer["included_angle"]["text"])
    row("pitch", answer["pitch"]["text"] + (f", {per_inch:g} per inch" if per_inch else ""))
    for name in ("major", "effective", "core", "root"):
        row(name, size(answer[f"{name}_diameter"]))
    row("depth", size(answer["depth"]))
    if answer["hand"] == "left":
        row("hand", "LEFT")
    if answer["taper"]:
        show_taper(answer)
    show_limits(answer["limits"])
    say("Tapping drills, of full depth:")
    for drill in answer["tapping_drills"]:
        below = ", below core" if drill["below_core"] else ""
        row(drill["drill"], f"{drill['depth_percent']:.0f} % of {drill['basis']}{below}")
    if drilled := answer.get("drilled"):
        say(f"Drilled {size(drilled['diameter'])}:")
        row("", f"{drilled['depth_percent']:.0f} % of {drilled['basis']}")
    show_findings(answer)
    return DONE


def show_taper(answer: dict[str, Any]) -> None:
    """A taper at its ends and where it was asked, and how far it goes in."""
    row("taper", f"1 in {1 / answer['taper']:.0f}")
    row("small end", size(answer["at_small_end"]["major_diameter"]))
    if place := answer["at_distance"]:
        row("there", size(place["major_diameter"]))
        row("", f"core {size(place['core_diameter'])}")
    if lengths := answer["taper_lengths"]:
        row("by hand", f"{lengths['hand_tight_turns']:.1f} turns")
        row("", size(lengths["hand_tight_length"]))
        row("spanner", f"{lengths['wrench_turns']:g} turns more")
        row("useful", size(lengths["effective_length"]))


def show_limits(limits: dict[str, Any]) -> None:
    """Least and largest over and across the flanks, in the classes that were asked."""
    say(f"Limits, {limits['male_class']} in {limits['female_class']}:")
    for title, name in (
        ("male", "male_major"),
        ("flanks", "male_effective"),
        ("bore", "female_core"),
        ("flanks", "female_effective"),
    ):
        ends = (size(limits[name][end]) for end in ("least", "most"))
        row(title, " to ".join(ends))


def index_fitting(options: argparse.Namespace) -> int:
    """Show the shims or the cut that make a fitting point right."""
    body = given(
        thread=options.thread,
        found=options.found,
        wanted=options.wanted,
        shims=options.shim or None,
        tolerance=options.tolerance,
        crush=options.crush,
    )
    answer = Server().calculate("indexing", body)
    show_indexing(answer)
    show_cautions(answer)
    return DONE


def show_indexing(indexing: dict[str, Any]) -> None:
    """A shim stack, where it points, and the cut that does without."""
    stack = [shim["text"] for shim in indexing["stack"]]
    row("wanted", indexing["thickness"]["text"])
    row("shims", " + ".join(stack) or "none")
    row("points at", f"{indexing['points_at']['value']:.0f} deg")
    row("or face", indexing["facing_cut"]["text"])
    for finding in indexing["findings"]:
        show_finding(finding)


def identify_thread(options: argparse.Namespace) -> int:
    """Show the threads that would measure so, likeliest first."""
    for one, other in (("count", "over"), ("second", "apart")):
        if bool(getattr(options, one)) != bool(getattr(options, other)):
            raise Misuse(f"--{one} and --{other} go together.")
    body = given(
        gender="male" if options.od else "female",
        hand="left" if options.left else None,
        diameter=options.od or options.bore,
        caliper_error=options.error,
        gauge=options.gauge,
        threads_per_inch=options.tpi,
        pitch=options.pitch,
        count=options.count,
        over=options.over,
        included_angle=options.angle,
        angle_readings=options.times,
        second_diameter=options.second,
        apart=options.apart,
        length=options.length,
    )
    answer = Server().calculate("thread-identify", body)
    for finding in answer["findings"]:
        show_finding(finding)
    for number, candidate in enumerate(answer["candidates"], 1):
        show_candidate(number, candidate)
    show_cautions(answer)
    return DONE


def show_candidate(number: int, candidate: dict[str, Any]) -> None:
    """A thread that it may be: how each reading agrees with it, and what to try next."""
    marks = {"agrees": "ok   ", "doubtful": "care ", "disagrees": "NO   "}
    likely = candidate["likelihood"] * 100
    chance = "over 99" if likely > 99 else "under 1" if likely < 1 else f"{likely:.0f}"
    say(f"{number}. {candidate['name']}, {chance} %")
    for reading in candidate["why"]:
        say(reading["text"], begin="   " + marks.get(reading["mark"], "     "))
    say(f"to tell: {candidate['tell_apart']['text']}", begin="   ")


def plan_adapter(options: argparse.Namespace) -> int:
    """Work out an adapter between two threads, with its operations in order."""
    body = given(
        a=read_end(options.end_a),
        b=read_end(options.end_b),
        bore=options.bore,
        material=options.material,
        title=options.title,
    )
    server = Server()
    answer = server.calculate("adapter", body)
    show_adapter(answer)
    if options.drawing:
        server.fetch("adapter/drawing" + options.drawing.suffix, body, options.drawing)
    show_findings(answer)
    return DONE


def read_end(words_of_end: str) -> dict[str, Any]:
    """An end such as `male 1/4 x 40 ME`."""
    gender, _, thread = words_of_end.strip().partition(" ")
    if gender not in {"male", "female"} or not thread:
        raise Misuse("An end is its gender and its thread, as 'male 1/4 x 40 ME'.")
    return {"gender": gender, "thread": thread.strip()}


def show_adapter(answer: dict[str, Any]) -> None:
    """The bar, both ends, and what is done to it."""
    say(f"Of {answer['stock']}, {answer['material']}, {answer['minutes']:.0f} min")
    row("long", size(answer["total_length"]))
    row("body", size(answer["body_length"]))
    row("bore", size(answer["bore"]))
    for name in ("a", "b"):
        end = answer[name]
        row(name, f"{end['gender']} {end['thread']}, {size(end['thread_length'])} of thread")
        row("", f"drill {end['drill']}" if end["drill"] else f"turn to {size(end['diameter'])}")
    row("wall", size(answer["wall_least"]))
    for step in answer["operations"]:
        say(f"{step['text']} ({step['minutes']:.0f})", begin=f"{step['number']:>2}. ")


def check_plant(options: argparse.Namespace) -> int:
    """Show the check of a commission's plants, worst first."""
    server = Server()
    commission = server.find_commission(options.reference)
    plants = list(server.list_all(f"/commissions/{commission}/plants"))
    if not plants:
        raise Refusal(f"{options.reference} has no plant yet.")
    for plant in reversed(plants):
        show_check(server.ask("GET", f"/plants/{plant['id']}/check"), everything=options.all)
    return DONE


def show_check(check: dict[str, Any], *, everything: bool) -> None:
    """What is wrong or wants care in a plant; the sound things are counted, or shown if asked."""
    say(check["name"])
    shown = [one for one in check["findings"] if everything or one["level"] != "ok"]
    for finding in shown:
        show_finding({**finding, "text": f"{finding['subject']}: {finding['text']}"})
    if not everything:
        say(f"{len(check['findings']) - len(shown)} more are sound (--all shows them).")
    for joint in check["joints"]:
        safe = [remedy for remedy in joint["remedies"] if not remedy["refused"]]
        if safe and joint["verdict"] in {"make_good", "does_not_go"}:
            say(f"{joint['joint']}: {safe[0]['title']}, {safe[0]['minutes']:.0f} min", begin="> ")
    show_cautions(check)


def calculate(options: argparse.Namespace) -> int:
    """Ask any calculation by its name, the request in a file of JSON."""
    try:
        body = json.loads(options.request.read_text(encoding="utf-8"))
    except (OSError, ValueError) as problem:
        raise Misuse(f"{options.request} cannot be read: {problem}") from None
    server = Server()
    if options.save:
        server.fetch(options.name, body, options.save)
        return DONE
    answer = server.calculate(options.name, body)
    for name, value in answer.items():
        if name not in {"findings", "workings", "cautions"}:
            show_member(words(name), value)
    show_findings(answer)
    return DONE


def show_member(name: str, value: Any, begin: str = "") -> None:
    """A member of an answer, whatever it is; what lies inside it is indented."""
    if isinstance(value, dict) and "text" in value:
        say(f"{name}: {value['text']}", begin=begin)
    elif isinstance(value, dict) and set(value) == {"low", "likely", "high"}:
        say(f"{name}: {band(value)}", begin=begin)
    elif isinstance(value, (dict, list)):
        members = value.items() if isinstance(value, dict) else enumerate(value, 1)
        say(name, begin=begin)
        for inner, part in members:
            show_member(words(str(inner)), part, begin[:12] + "  ")
    elif isinstance(value, float):
        say(f"{name}: {value:.4g}", begin=begin)
    elif value is not None and not str(value).startswith("<svg"):
        say(f"{name}: {value}", begin=begin)


def set_up(options: argparse.Namespace) -> int:
    """Write the settings file, and try it."""
    address = options.address.rstrip("/")
    if not re.fullmatch(r"https?://[^\s/?#]+(/[^\s?#]*)?", address):
        raise Misuse("Write the address as https://workshop.example or http://192.168.1.5:8361.")
    settings = configparser.ConfigParser(interpolation=None)
    settings["bench"] = {"address": address, "token": options.token}
    path, content = settings_path(), io.StringIO()
    settings.write(content)
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path, content.getvalue().encode())
    say(f"Written: {path}")
    if address.startswith("http://"):
        say("! http is not encrypted: use it in your own network only.")
    if waiting := len(Spool.of_environment().waiting()):
        say(f"! {waiting} wait that were noted before this change.")
    Server().ask("GET", "/commissions")
    say("The server knows this token.")
    return DONE


# --- What is noted, and where it waits -----------------------------------------------------------


@dataclass
class Photo:
    """A photo of a note: its copy in the spool, and its picture's number once that is known."""

    key: str
    media_type: str
    caption: str | None
    sha256: str
    picture_id: int | None = None
    name: str = ""


@dataclass
class Entry:
    """One thing noted; `noted` is this device's own time. Without a path: a line to be mended."""

    what: str
    path: str
    body: dict[str, Any]
    reference: str | None
    photos: list[Photo]
    key: str
    noted: str
    words: list[str] = field(default_factory=list)
    day_by_clock: bool = False
    clock_went_back: bool = False
    sender: str = ""
    origin: str = ""

    def digest(self) -> str:
        """What two presses of the same button have in common."""
        photos = [(photo.sha256, photo.caption) for photo in self.photos]
        said = json.dumps([self.path, self.reference, self.body, photos])
        return hashlib.sha256(said.encode()).hexdigest()

    def describe(self) -> str:
        """It in a line: what, and when it was noted."""
        return f"{self.what} ({self.noted[:10]} {self.noted[11:16]})"

    def to_json(self) -> bytes:
        """The entry as its file holds it."""
        return json.dumps(asdict(self), indent=1).encode()


def read_entry(path: Path) -> Entry:
    """Read an entry; raise `Doubt` for a file that holds none, whatever it is."""
    try:
        if not is_plain(path) or path.stat().st_size > LARGEST_ENTRY:
            raise ValueError
        content = json.loads(path.read_text(encoding="utf-8"))
        content.pop("commission_id", None)  # kept by an earlier version of this script
        content["photos"] = [Photo(**photo) for photo in content["photos"]]
        entry = Entry(**content)
        check_entry(entry)
    except (OSError, ValueError, TypeError, LookupError, AttributeError, RecursionError):
        raise Doubt(f"{path.name} is damaged, or of another version of this script.") from None
    return entry


def check_entry(entry: Entry) -> None:
    """Raise ValueError or TypeError for an entry that this script cannot have written."""
    texts = [entry.what, entry.path, entry.reference or "", entry.key, entry.sender, entry.origin]
    for photo in entry.photos:
        texts += [photo.key, photo.media_type, photo.caption or "", photo.sha256, photo.name]
        if entry.reference is None or not isinstance(photo.picture_id, (int, type(None))):
            raise TypeError
    if not all(isinstance(text, str) for text in texts + list(entry.words)):
        raise TypeError
    if not isinstance(entry.body, dict) or not isinstance(entry.words, list):
        raise TypeError
    if not re.fullmatch(r"|/labour|/progress|/parts|/parts/[0-9]+/movements", entry.path):
        raise ValueError
    if not KEY.fullmatch(entry.key) or not all(PHOTO.fullmatch(one.key) for one in entry.photos):
        raise ValueError  # they are names of files, and must name none elsewhere
    read_moment(entry.noted)


def read_moment(text: str) -> float:
    """A moment as `noted` has it, in seconds as the clock counts them."""
    return dt.datetime.strptime(text, "%Y-%m-%dT%H:%M:%S%z").timestamp()


def describe(path: Path) -> str:
    """What a file of the spool holds, in a line."""
    try:
        return read_entry(path).describe()
    except Doubt as problem:
        return str(problem)


def is_about(path: Path, reference: str) -> bool:
    """Whether an entry belongs to a commission."""
    try:
        return read_entry(path).reference == reference
    except Doubt:
        return False


@dataclass
class Aside:
    """What was set aside: its number, its file, why, and the entry where it holds one."""

    number: int
    path: Path
    problem: str
    entry: Entry | None

    def describe(self) -> str:
        """It in a line."""
        return self.entry.describe() if self.entry else f"{self.path.name}, a strange file"


KEY = re.compile("[0-9a-f-]{36}")
PHOTO = re.compile(r"[0-9a-f-]{36}(\.[0-9a-f]{8})?")
DRAFT = re.compile(r"\..*\.draft", re.DOTALL)


class Spool:
    """The folder of what waits: a numbered file an entry, with photos and set-aside ones beside.

    A name holds the number and the key: the order of noting, whatever the clock says, and no two
    runs can ever write the same file.
    """

    OWN = frozenset(("photos", "refused", "numbering.lock", "sending.lock", "last-press"))
    ENTRY = re.compile(r"([0-9]{8,12})(-[0-9a-f-]{36})?\.json")
    ASIDE = re.compile(r"([0-9]+)-.*\.(json|strange)", re.DOTALL)

    def __init__(self, folder: Path) -> None:
        self.folder, self.photos, self.refused = folder, folder / "photos", folder / "refused"
        self.numbering, self.sending_lock = folder / "numbering.lock", folder / "sending.lock"
        self.last_press = folder / "last-press"
        self.done: set[str] = set()
        """Files that this run is through with, even where they could not be moved."""

    @classmethod
    def of_environment(cls) -> Spool:
        """The spool named by BENCH_SPOOL, or the usual one."""
        return cls(folder_named("BENCH_SPOOL", "~/.local/share/clackbox/spool"))

    def prepare(self) -> None:
        """Make the folders; what stands in the place of one of our own files is moved away."""
        self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        for path in (self.photos, self.refused):
            if not os.path.isdir(path):
                move_away(path)
                path.mkdir(mode=0o700, exist_ok=True)
        for path in (self.numbering, self.sending_lock, self.last_press):
            if not is_plain(path):
                move_away(path)

    def note(self, entry: Entry, *, twice: bool) -> bool:
        """Keep an entry behind all others; False if it only repeats the press before it."""
        self.prepare()
        entry.origin = self.origin()
        try:
            with hold_lock(self.numbering):
                press = self._read_press()
                if not twice and is_second_press(press, entry):
                    return False
                entry.clock_went_back = press["latest"] > time.time() + CLOCKS_DIFFER
                for photo in entry.photos:
                    self._keep_photo(photo)
                write_whole(self._next_place(entry.key), entry.to_json())
                self._keep_press(
                    digest=entry.digest(),
                    boot=read_boot(),
                    uptime=read_uptime(),
                    latest=max(press["latest"], time.time()),
                )
        except BaseException:
            self._drop_photos(entry)
            raise
        return True

    def _keep_photo(self, photo: Photo) -> None:
        try:
            self.read_photo(photo)
        except Doubt:
            write_whole(self.photo_path(photo), Path(photo.name).read_bytes())

    def _next_place(self, key: str) -> Path:
        waiting = self.waiting()
        number = min(read_number(waiting[-1].name) + 1, 10**12 - 1) if waiting else 1
        return self.folder / f"{number:08d}-{key}.json"

    def _read_press(self) -> dict[str, Any]:
        press: dict[str, Any] = {"digest": "", "boot": "", "uptime": 0.0, "latest": 0.0}
        with suppress(OSError, ValueError, RecursionError, AttributeError):
            found = json.loads(read_start(self.last_press))
            if all(isinstance(found.get(name), type(usual)) for name, usual in press.items()):
                press = found
        return press

    def _keep_press(self, **press: Any) -> None:
        with suppress(OSError):  # the entry is kept all the same
            write_whole(self.last_press, json.dumps(press).encode())

    def settle_clock(self, now: float) -> None:
        """Forget that this clock was once ahead, now that the server tells the time."""
        press = self._read_press()
        if press["latest"] > now + CLOCKS_DIFFER:
            self._keep_press(**{**press, "latest": now})

    def photo_path(self, photo: Photo) -> Path:
        """Where the copy of a photo lies."""
        return self.photos / photo.key

    def read_photo(self, photo: Photo) -> bytes:
        """The bytes of a photo, the same as when it was noted."""
        path = self.photo_path(photo)
        try:
            sound = is_plain(path) and path.stat().st_size <= LARGEST_PHOTO
            image = path.read_bytes() if sound else b""
        except OSError:
            image = b""
        if hashlib.sha256(image).hexdigest() != photo.sha256:
            raise Doubt(f"The photo {photo.name} of this note is lost or damaged in the spool.")
        return image

    def waiting(self) -> list[Path]:
        """The entries that wait, in the order in which they were noted."""
        names = filter(self.ENTRY.fullmatch, list_names(self.folder))
        return [self.folder / name for name in sorted(names, key=lambda it: (read_number(it), it))]

    def take_in_turn(self) -> Iterator[Path]:
        """The entries, oldest first, with whatever is noted meanwhile."""
        while left := [path for path in self.waiting() if path.name not in self.done]:
            self.done.update(path.name for path in left)
            yield from left

    @contextmanager
    def sending(self) -> Iterator[None]:
        """Keep other runs from sending; they wait a while for this one."""
        try:
            with hold_lock(self.sending_lock):
                yield
        except Busy:
            raise Unsent("Another run of this script is sending.") from None

    def holds(self, key: str) -> bool:
        """Whether something of this key waits or was set aside."""
        return any(key in path.name for path in self.waiting()) or self.has_aside(key)

    def has_aside(self, key: str) -> bool:
        """Whether something of this key was set aside."""
        return any(key in name for name in list_names(self.refused))

    def origin(self) -> str:
        """What tells this folder from a copy of it."""
        with suppress(OSError):
            return str(self.folder.stat().st_ino)
        return ""

    def remove(self, path: Path, entry: Entry) -> bool:
        """Forget an entry whose answer is known, then its photos, which nothing points at now."""
        try:
            path.unlink()
        except OSError:
            return False
        self._drop_photos(entry)
        return True

    def tidy(self) -> None:
        """Set aside and tell what is no entry; forget what a killed run left unfinished."""
        with suppress(OSError):
            self.prepare()
        for name in set(list_names(self.folder)) - self.OWN:
            path = self.folder / name
            if DRAFT.fullmatch(name):
                forget_old(path)
            elif not self.ENTRY.fullmatch(name) or not is_plain(path):
                self.set_aside(path, "It is no file of this script.")
                say(f"Strange, in the spool: {name}. See: bench.py waiting")
        for name in list_names(self.photos):
            key = name.lstrip(".")[:36]
            if name.lstrip(".")[36:37] == "." and KEY.fullmatch(key) and not self.holds(key):
                forget_old(self.photos / name)

    def keep_line(self, line: Line, problem: str) -> int:
        """Set aside a line that is not understood, in the place of the one it mends; its number."""
        self.prepare()
        for aside in self.asides():
            kept = aside.entry
            if not line.mends and kept and (kept.path, kept.words) == ("", line.words):
                return aside.number  # pressed twice
        photos = line.mends.entry.photos if line.mends and line.mends.entry else []
        what = shlex.join(line.words)
        entry = Entry(what, "", {}, None, photos, line.key, line.noted, line.words)
        with hold_lock(self.numbering):
            number = self._next_aside()
            path = self.refused / f"{number:08d}-{line.key}.json"
            write_whole(path, entry.to_json())
        self._keep_problem(path, problem)
        if line.mends:
            self.forget(line.mends)
        return number

    def set_aside(self, path: Path, problem: str) -> int | None:
        """Put a file out of the others' way; its number, or None where it could not be moved.

        Moving needs no room; what was said of it is kept beside it if there is room for that.
        """
        match = self.ENTRY.fullmatch(path.name)
        name = f"{(match[2] or '-' + match[1])[1:]}.json" if match else f"{path.name[:40]}.strange"
        try:
            with hold_lock(self.numbering):
                number = self._next_aside()
                aside = self.refused / f"{number:08d}-{name}"
                os.rename(path, aside)
        except OSError:
            return None
        self._keep_problem(aside, problem)
        return number

    def _next_aside(self) -> int:
        numbers = map(read_number, filter(self.ASIDE.fullmatch, list_names(self.refused)))
        return max(numbers, default=0) + 1

    def _keep_problem(self, aside: Path, problem: str) -> None:
        with suppress(OSError):
            write_whole(aside.with_suffix(".txt"), problem.encode("utf-8", "replace"))

    def asides(self) -> list[Aside]:
        """What was set aside, oldest first."""
        names = filter(self.ASIDE.fullmatch, list_names(self.refused))
        return sorted(map(self._read_aside, names), key=lambda aside: aside.number)

    def _read_aside(self, name: str) -> Aside:
        path, entry, reason = self.refused / name, None, b""
        with suppress(Doubt):
            entry = read_entry(path)
        with suppress(OSError):
            reason = read_start(path.with_suffix(".txt"))
        problem = reason.decode("utf-8", "replace") or "Its reason was not kept."
        return Aside(read_number(name), path, problem, entry)

    def find_aside(self, number: int) -> Aside:
        """What was set aside under a number."""
        for aside in self.asides():
            if aside.number == number:
                return aside
        raise Misuse(f"There is nothing set aside as {number}.")

    def take_back(self) -> list[str]:
        """Let what was set aside wait again, under the keys it had; the names of the files."""
        taken = []
        for aside in self.asides():
            if aside.entry and aside.entry.path:  # a strange file or a line stays where it is
                with suppress(OSError), hold_lock(self.numbering):
                    place = self._next_place(aside.entry.key)
                    os.rename(aside.path, place)
                    taken.append(place.name)
                with suppress(OSError):
                    aside.path.with_suffix(".txt").unlink()
        return taken

    def forget(self, aside: Aside) -> None:
        """Forget what was set aside."""
        if aside.path.is_dir() and not aside.path.is_symlink():
            raise Misuse(f"It is a folder; look into it and remove it by hand: {aside.path}")
        aside.path.unlink()
        with suppress(OSError):
            aside.path.with_suffix(".txt").unlink()
        if aside.entry:
            self._drop_photos(aside.entry)

    def _drop_photos(self, entry: Entry) -> None:
        if not self.holds(entry.key):  # the same entry mended has the same key and photos
            for photo in entry.photos:
                with suppress(OSError):
                    self.photo_path(photo).unlink()


def read_number(name: str) -> int:
    """The number with which a name begins."""
    digits = re.match("[0-9]+", name)
    return int(digits[0]) if digits else 0


def is_second_press(press: dict[str, Any], entry: Entry) -> bool:
    """Whether an entry repeats the last one within moments, by a clock that nobody sets."""
    same = (press["digest"], press["boot"]) == (entry.digest(), read_boot())
    return same and 0 <= read_uptime() - press["uptime"] < PRESSED_TWICE


def read_uptime() -> float:
    """Seconds of a clock that is never set and counts while the device sleeps."""
    clock = getattr(time, "CLOCK_BOOTTIME", getattr(time, "CLOCK_MONOTONIC", None))
    return time.monotonic() if clock is None else time.clock_gettime(clock)


def read_boot() -> str:
    """What tells this start of this device from any other, where the system says it."""
    with suppress(OSError, ValueError):
        return Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
    return ""


def list_names(folder: Path) -> list[str]:
    """The names in a folder; none where there is no folder."""
    try:
        return os.listdir(folder)
    except (FileNotFoundError, NotADirectoryError):
        return []


def is_plain(path: Path) -> bool:
    """Whether this is a file and nothing that leads elsewhere or never ends."""
    return os.path.isfile(path) and not os.path.islink(path)


def read_start(path: Path) -> bytes:
    """The first bytes of a small file of ours, whatever it has become."""
    if not is_plain(path):
        return b""
    with path.open("rb") as file:
        return file.read(2000)


def move_away(path: Path) -> None:
    """Free a name, if something has it."""
    if os.path.lexists(path):
        os.rename(path, path.with_name(f"{uuid.uuid4().hex[:8]}-{path.name}"))


def forget_old(path: Path) -> None:
    """Remove a file of ours that no run can be at work on any more."""
    with suppress(OSError):
        if abs(time.time() - path.stat().st_mtime) > ONE_DAY:
            path.unlink()


def write_whole(path: Path, content: bytes) -> None:
    """Write a file, for its owner alone, so that it is there whole or as it was before."""
    draft = path.with_name(f".{path.name}.{os.getpid()}.draft")
    try:
        with open(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        os.replace(draft, path)
    except BaseException:
        with suppress(OSError):
            draft.unlink()
        raise
    if os.name == "posix":
        with suppress(OSError):  # it is there; some storage cannot be told to hurry
            folder = os.open(path.parent, os.O_RDONLY)
            try:
                os.fsync(folder)
            finally:
                os.close(folder)


class Busy(OSError):
    """Another run holds a lock for longer than is worth waiting."""


@contextmanager
def hold_lock(path: Path) -> Iterator[None]:
    """Hold the operating system's lock on a file; it falls away with the process that holds it."""
    try:
        file = path.open("ab")
    except OSError:  # no room even for this: names and keys still keep runs apart
        yield
        return
    with file:
        deadline = time.monotonic() + PATIENCE
        while not try_lock(file.fileno()):
            if time.monotonic() > deadline:
                raise Busy("another run of this script is in the way")
            time.sleep(0.05)
        yield


if sys.platform == "win32":
    import msvcrt

    def try_lock(descriptor: int) -> bool:
        """Take the lock if it is free."""
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
else:
    import fcntl

    def try_lock(descriptor: int) -> bool:
        """Take the lock if it is free."""
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError:
            return True  # this storage knows no locks: one run at a time is the person's care
        return True


# --- The server ----------------------------------------------------------------------------------


class Server:
    """The service over HTTP. A definite no is a `Refusal`; anything doubtful is `Unsent`."""

    def __init__(self) -> None:
        try:
            import requests
        except ImportError:
            raise Unsent("The package requests is missing: pip install requests") from None
        self.requests, self.session = requests, requests.Session()
        self.commissions: dict[str, int] = {}
        self.clock: float | None = None
        """The server's time as its last answer gave it."""

    def ask(self, method: str, path: str, **asked: Any) -> dict[str, Any]:
        """One request, and the object that answers it."""
        answer = self.request(method, path, **asked)
        body = judge_answer(answer)
        with suppress(TypeError, ValueError):
            self.clock = parsedate_to_datetime(answer.headers.get("Date", "")).timestamp()
        return body

    def request(self, method: str, path: str, **asked: Any) -> requests.Response:
        """One request with the token, to nowhere but the address of the settings.

        A proxy that the environment names is used, for some networks have no other way out. Its
        keeper sees what is sent over plain http, the token too; over https nothing.
        """
        address, token = read_settings()

        def sign(signed: requests.PreparedRequest) -> requests.PreparedRequest:
            signed.headers["Authorization"] = f"Bearer {token}"
            return signed

        try:
            return self.session.request(
                method,
                f"{address}/api/v1{path}",
                auth=sign,  # not a header, which a .netrc file would replace
                timeout=TIMEOUT,
                allow_redirects=False,  # a POST would become a GET; the token would go elsewhere
                **asked,
            )
        except (self.requests.RequestException, ValueError) as problem:
            raise Unsent(self.explain_failure(problem, address)) from None

    def explain_failure(self, problem: Exception, address: str) -> str:
        """Why a request got no answer."""
        kinds = self.requests.exceptions
        if isinstance(problem, kinds.SSLError):
            return f"{address} shows a certificate that this device does not trust."
        if isinstance(problem, kinds.ProxyError):
            return "The proxy that the environment names does not answer."
        if isinstance(problem, kinds.Timeout):
            return f"{address} did not answer in time."
        if isinstance(problem, kinds.ConnectionError):
            return f"No network, or nothing answers at {address}."
        return f"The request could not be made: {problem}"

    def create(
        self,
        path: str,
        *,
        key: str,
        data: bytes,
        media_type: str = "application/json",
        params: dict[str, Any] | None = None,
    ) -> dict[str, Any]:
        """Create a record once, however often it is asked for with this key."""
        headers = {"Idempotency-Key": key, "Content-Type": media_type}
        record = self.ask("POST", path, headers=headers, data=data, params=params)
        if not isinstance(record.get("id"), int):
            raise Unsent(STRANGER)
        return record

    def calculate(self, what: str, body: dict[str, Any]) -> dict[str, Any]:
        """The answer of a calculation."""
        return self.ask("POST", f"/calculations/{what}", json=body)

    def fetch(self, what: str, body: dict[str, Any], target: Path) -> None:
        """Fetch a drawing or a paper of a calculation into a file."""
        answer = self.request("POST", f"/calculations/{what}", json=body)
        if answer.status_code != 200:
            judge_answer(answer)
        target.write_bytes(answer.content)
        say(f"Written: {target}")

    def find_commission(self, reference: str) -> int:
        """The number of a commission by its reference."""
        if reference not in self.commissions:
            found = self.ask("GET", "/commissions", params={"reference": reference})
            if found.get("items") == []:
                raise Refusal(f"There is no commission {reference}.")
            try:
                self.commissions[reference] = int(found["items"][0]["id"])
            except (LookupError, TypeError, ValueError):
                raise Unsent(STRANGER) from None
        return self.commissions[reference]

    def list_all(self, path: str, **filters: Any) -> Iterator[dict[str, Any]]:
        """Every record of a list, page after page."""
        page = self.ask("GET", path, params=filters)
        yield from page["items"]
        while page["next_cursor"]:
            page = self.ask("GET", path, params={**filters, "cursor": page["next_cursor"]})
            yield from page["items"]


def judge_answer(answer: requests.Response) -> dict[str, Any]:
    """The object in a good answer; raise for any other."""
    status, body = answer.status_code, read_object(answer)
    if 200 <= status < 300 and body is not None:
        return body
    is_problem = answer.headers.get("Content-Type", "").startswith("application/problem+json")
    text = explain_problem(body) if body is not None and is_problem else ""
    if text and status in (401, 403):
        raise Unsent(f"The server does not take this token ({status}): {text}")
    if status == 413 or (text and 400 <= status < 500 and status not in NOT_FINAL):
        raise Refusal(text or "The server finds it too large.")
    if status >= 500 or status in NOT_FINAL:
        raise Unsent(f"The server cannot take it now ({status}). {text}".strip())
    elsewhere = f" It sends us to {answer.headers['Location']}." if answer.is_redirect else ""
    raise Unsent(
        f"What answers is not the service ({status}). Check the address and the network.{elsewhere}"
    )


def read_object(answer: requests.Response) -> dict[str, Any] | None:
    """The JSON object in an answer; a log-in page of a public network has none."""
    try:
        body = answer.json()
    except (ValueError, RecursionError):
        return None
    return body if isinstance(body, dict) else None


def explain_problem(problem: dict[str, Any]) -> str:
    """A problem's text: each field with what is wrong with it, or the detail."""
    if problem.get("code") == "key-reused":
        return "The server has it already, perhaps in an earlier form. Look there, then drop it."
    errors = problem.get("errors")
    if isinstance(errors, dict) and errors:
        return "; ".join(
            f"{name}: {' '.join(map(str, texts if isinstance(texts, list) else [texts]))}"
            for name, texts in errors.items()
        )
    return str(problem.get("detail") or problem.get("title") or "It gives no reason.")


def read_settings() -> tuple[str, str]:
    """The address and the token, from the environment or else from the settings file."""
    settings = configparser.ConfigParser(interpolation=None)
    try:
        settings.read(settings_path(), encoding="utf-8")
    except (configparser.Error, ValueError, OSError):
        raise Unsent(f"The settings in {settings_path()} cannot be read.") from None
    kept = settings["bench"] if settings.has_section("bench") else {}
    address = os.environ.get("BENCH_ADDRESS") or kept.get("address", "")
    token = os.environ.get("BENCH_TOKEN") or kept.get("token", "")
    if not address or not token:
        raise Unsent("No address or token yet: bench.py setup ADDRESS TOKEN")
    return address.rstrip("/"), token.strip()


def read_sender() -> str:
    """What tells this token from another, and does not give it away."""
    with suppress(Unsent):
        return hashlib.sha256(read_settings()[1].encode("utf-8", "replace")).hexdigest()[:16]
    return ""


def settings_path() -> Path:
    """Where the settings file lies."""
    return folder_named("BENCH_SETTINGS", "~/.config/clackbox/bench.ini")


def folder_named(variable: str, usual: str) -> Path:
    """A place named in the environment, or the usual one."""
    try:
        return Path(os.environ.get(variable) or usual).expanduser()
    except RuntimeError:
        raise OSError(f"there is no home folder; set {variable}") from None


# --- What is shown -------------------------------------------------------------------------------


def say(text: str, *, begin: str = "", under: str | None = None) -> None:
    """Print a text at a phone's width; its further lines are indented as far as `begin` is long.

    Nobody may be reading any more (a closed pipe, a full file): what is being done goes on.
    """
    plain = "".join(sign if sign.isprintable() else " " for sign in text)
    lines = textwrap.wrap(
        plain,
        WIDTH,
        initial_indent=begin,
        subsequent_indent=" " * len(begin) if under is None else under,
        break_on_hyphens=False,
    )
    show("\n".join(lines) + "\n")


def show(text: str) -> None:
    """Write to the output, as long as there is one."""
    try:
        print(text, end="", flush=True)
    except OSError:
        with suppress(OSError), open(os.devnull, "wb") as nowhere:
            os.dup2(nowhere.fileno(), sys.stdout.fileno())


def row(name: str, text: str | None) -> None:
    """A line of a table, if there is something to say."""
    if text:
        say(text, begin=f"  {name:<10}")


def show_findings(answer: dict[str, Any]) -> None:
    """The findings of a calculation, and its cautions."""
    for finding in answer.get("findings", []):
        show_finding(finding)
    show_cautions(answer)


def show_finding(finding: dict[str, Any]) -> None:
    """One finding, its level in front."""
    mark = {"ok": "ok   ", "caution": "care ", "fail": "FAIL "}.get(finding["level"], "     ")
    say(finding["text"], begin=mark)


def show_cautions(answer: dict[str, Any]) -> None:
    """What every figure about steam plant must be read with."""
    for caution in answer.get("cautions", []):
        say(caution, begin="* ")


def band(estimate: dict[str, Any]) -> str:
    """An estimate: its likely figure, then its limits."""
    low, likely, high = (estimate[name]["text"] for name in ("low", "likely", "high"))
    return f"{likely}" if low == high else f"{likely} ({low} to {high})"


def size(quantity: dict[str, Any]) -> str:
    """A length as a person reads it, with its millimetres when those are not what is read."""
    text: str = quantity["text"]
    return text if text.endswith("mm") else f"{text} ({quantity['value']:.2f} mm)"


def hours(minutes: int) -> str:
    """Minutes as hours and minutes."""
    return f"{minutes // 60} h {minutes % 60:02d}" if minutes >= 60 else f"{minutes} min"


def words(name: str) -> str:
    """A name of the API as a person says it."""
    return name.replace("_", " ")


def given(**members: Any) -> dict[str, Any]:
    """The members that were given."""
    return {name: value for name, value in members.items() if value is not None}


# --- The command line ----------------------------------------------------------------------------


class NarrowParser(argparse.ArgumentParser):
    """A parser whose help and complaints fit a phone."""

    def __init__(self, **options: Any) -> None:
        super().__init__(
            **options, formatter_class=lambda prog: argparse.HelpFormatter(prog, 4, 14, WIDTH)
        )

    def format_help(self) -> str:
        """The help, no line of it too long."""
        usage, _, rest = super().format_help().partition("\n\n")
        return narrow(" ".join(usage.split())) + "\n" + narrow(rest)

    def format_usage(self) -> str:
        """The usage, no line of it too long."""
        return narrow(" ".join(super().format_usage().split()))

    def print_help(self, file: Any = None) -> None:
        """Show the help."""
        show(self.format_help())

    def error(self, message: str) -> NoReturn:
        """Say what is not understood."""
        raise Misuse(f"{message}. Help: {self.prog} -h")


def narrow(text: str) -> str:
    """A text whose long lines are broken, keeping their indent."""
    return "".join(
        textwrap.fill(line, WIDTH, subsequent_indent="  ", break_on_hyphens=False) + "\n"
        for line in text.splitlines()
    )


class ListOperations(argparse.Action):
    """Print the kinds of operation and leave."""

    def __call__(self, *_: Any, **__: Any) -> NoReturn:
        """Print them."""
        say(", ".join(map(words, OPERATIONS)))
        sys.exit(DONE)


def read_command(line: Line) -> argparse.Namespace:
    """The command and its options; the words of `log` may also stand behind its options."""
    parser = build_parser()
    options, further = parser.parse_known_args(line.words)
    options.line = line
    if further and (options.run is not log_labour or further[0].startswith("-")):
        parser.error(f"not understood: {' '.join(further)}")
    if further:
        options.note += further
    return options


def build_parser() -> argparse.ArgumentParser:
    """Every command with its options."""
    parser = NarrowParser(prog="bench.py", description="Post and check from the bench.")
    commands = parser.add_subparsers(metavar="COMMAND", required=True)
    add_labour_command(commands)
    add_note_command(commands)
    add_part_commands(commands)
    add_spool_commands(commands)
    add_demand_command(commands)
    add_fit_command(commands)
    add_thread_commands(commands)
    add_plant_commands(commands)
    return parser


def add_labour_command(commands: Any) -> None:
    """`log`."""
    log = add_command(commands, "log", log_labour, "note hours")
    log.add_argument("--operations", action=ListOperations, nargs=0, help="list the operations")
    log.add_argument("reference", metavar="COMMISSION", help="such as 26-014")
    log.add_argument("minutes", metavar="TIME", type=read_time, help="such as 1h30 or 45min")
    log.add_argument("operation", metavar="OPERATION", type=one_of(OPERATIONS))
    log.add_argument("note", metavar="WORDS", nargs="*")
    log.add_argument("--not-billable", dest="billable", action="store_false")
    add_day(log)
    add_twice(log)


def add_note_command(commands: Any) -> None:
    """`note`."""
    note = add_command(commands, "note", note_progress, "note what was done, with photos")
    note.add_argument("reference", metavar="COMMISSION")
    note.add_argument("text", metavar="WORDS", nargs="+")
    note.add_argument("--photo", action="append", default=[], metavar="FILE")
    note.add_argument(
        "--caption", action="append", default=[], metavar="WORDS", help="one a photo, in order"
    )
    note.add_argument("--customer", action="store_true", help="for the customer to read")
    note.add_argument("--decision", metavar="QUESTION", help="what the customer is to decide")
    add_day(note)
    add_twice(note)


def add_part_commands(commands: Any) -> None:
    """`part receive`, `part move` and `part list`."""
    part = commands.add_parser("part", help="supplied parts", description="Supplied parts.")
    parts = part.add_subparsers(metavar="COMMAND", required=True)
    receive = add_command(parts, "receive", receive_part, "book a part in")
    receive.add_argument("reference", metavar="COMMISSION")
    receive.add_argument("name", metavar="NAME")
    receive.add_argument("--quantity", type=int, default=1, metavar="N")
    receive.add_argument("--owner", type=one_of(OWNERS), default="customer")
    for name in ("condition", "place", "thread"):
        receive.add_argument(f"--{name}")
    receive.add_argument("--gender", type=one_of(("male", "female")))
    receive.add_argument(
        "--expected", dest="state", action="store_const", const="expected", default="received"
    )
    add_twice(receive)
    move = add_command(parts, "move", move_part, "move a part line, or some of it")
    move.add_argument("part", metavar="NUMBER", type=int)
    move.add_argument(
        "state", metavar="STATE", type=one_of(STATES), help=", ".join(map(words, STATES))
    )
    move.add_argument("--quantity", type=int, metavar="N")
    move.add_argument("--place")
    move.add_argument("--note")
    add_twice(move)
    listed = add_command(parts, "list", list_parts, "list a commission's parts")
    listed.add_argument("reference", metavar="COMMISSION")


def add_spool_commands(commands: Any) -> None:
    """`status`, `send`, `waiting`, `mend` and `setup`."""
    status = add_command(commands, "status", show_status, "where a commission stands")
    status.add_argument("reference", metavar="COMMISSION")
    send = add_command(commands, "send", send_spool, "send what waits")
    send.add_argument("--again", action="store_true", help="and what was set aside, as it is")
    waiting = add_command(commands, "waiting", list_waiting, "list what waits")
    waiting.add_argument("--drop", type=int, metavar="N", help="forget N of those set aside")
    mending = add_command(commands, "mend", mend, "mend what was set aside")
    mending.add_argument("number", metavar="N", type=int, help="as `waiting` lists it")
    mending.add_argument(
        "change",
        metavar="WORDS",
        nargs=argparse.REMAINDER,
        help="WRONG RIGHT, or options such as --day yesterday, or the whole line",
    )
    setup = add_command(commands, "setup", set_up, "write the settings file")
    setup.add_argument("address", metavar="ADDRESS")
    setup.add_argument("token", metavar="TOKEN")


def add_demand_command(commands: Any) -> None:
    """`demand`."""
    demand = add_command(commands, "demand", calculate_demand, "steam that engines take")
    demand.add_argument("--file", help="engines as JSON")
    demand.add_argument("--pressure", help="such as '50 psi'; gauge")
    for name in ("name", "bore", "stroke", "speed", "rod"):
        demand.add_argument(f"--{name}")
    demand.add_argument("--cylinders", type=int)
    demand.add_argument("--acting", choices=["single", "double"])
    for name in ("--cut-off", "--clearance", "--condensation"):
        demand.add_argument(name, type=float, metavar="SHARE")
    demand.add_argument("--back", help="back pressure")
    demand.add_argument("--feed", help="temperature of the feed")


def add_fit_command(commands: Any) -> None:
    """`fit`."""
    fit = add_command(commands, "fit", check_fit, "does a male go into a female?")
    fit.add_argument("male", metavar="MALE")
    fit.add_argument("female", metavar="FEMALE")
    for name in ("pressure", "length", "bore", "depth", "boss", "drilled", "found", "wanted"):
        fit.add_argument(f"--{name}")
    for gender in ("male", "female"):
        fit.add_argument(f"--{gender}-material", metavar="METAL")
        fit.add_argument(f"--{gender}-owner", type=one_of(OWNERS), metavar="OWNER")
    fit.add_argument("--steps", action="store_true", help="show the steps")


def add_thread_commands(commands: Any) -> None:
    """`thread`, `index` and `identify`."""
    thread = add_command(commands, "thread", show_thread, "sizes and tapping drills")
    thread.add_argument("thread", metavar="THREAD", help="as '1/4 x 40 ME', G1/8, 'M8 x 1 LH'")
    thread.add_argument("--drill")
    thread.add_argument("--material")
    thread.add_argument("--male-class", metavar="CLASS", help="2A, 6g, medium, close")
    thread.add_argument("--female-class", metavar="CLASS", help="2B, 6H, medium, close")
    along = thread.add_mutually_exclusive_group()
    along.add_argument("--at", metavar="LENGTH", help="of a taper, from its small end")
    along.add_argument("--inside", metavar="LENGTH", help="of a taper, in from the gauge plane")
    index = add_command(commands, "index", index_fitting, "make a fitting point right")
    index.add_argument("thread", metavar="THREAD")
    index.add_argument("--found", required=True, help="where it stops")
    index.add_argument("--wanted", required=True, help="where it should point")
    index.add_argument("--shim", action="append", default=[], metavar="SIZE")
    index.add_argument("--tolerance")
    index.add_argument("--crush")
    identify = add_command(commands, "identify", identify_thread, "name an unknown thread")
    diameter = identify.add_mutually_exclusive_group(required=True)
    diameter.add_argument("--od", help="outside of a male")
    diameter.add_argument("--bore", help="bore of a female")
    pitch = identify.add_mutually_exclusive_group()
    pitch.add_argument("--tpi", type=float, help="threads per inch")
    pitch.add_argument("--pitch")
    pitch.add_argument("--count", type=float, help="threads counted")
    identify.add_argument("--over", help="length counted over")
    identify.add_argument("--gauge", choices=["inch", "metric"], help="whose leaf it is")
    identify.add_argument("--angle", help="of the gauge that fits")
    identify.add_argument("--times", type=int, help="the angle was tried")
    identify.add_argument("--second", help="diameter further along")
    identify.add_argument("--apart", help="of the two diameters")
    identify.add_argument("--length", help="of the thread")
    identify.add_argument("--error", help="of the caliper")
    identify.add_argument("--left", action="store_true", help="it is left-hand")


def add_plant_commands(commands: Any) -> None:
    """`adapter`, `check` and `calc`."""
    adapter = add_command(commands, "adapter", plan_adapter, "work out an adapter")
    adapter.add_argument("end_a", metavar="END", help="as 'male 1/4 x 40 ME'")
    adapter.add_argument("end_b", metavar="END")
    adapter.add_argument("--bore", required=True)
    adapter.add_argument("--material")
    adapter.add_argument("--title")
    adapter.add_argument("--drawing", type=read_drawing, help="file .svg or .dxf to write")
    check = add_command(commands, "check", check_plant, "check a commission's plant")
    check.add_argument("reference", metavar="REFERENCE")
    check.add_argument("--all", action="store_true", help="what is sound, too")
    calc = add_command(commands, "calc", calculate, "any calculation by its name")
    calc.add_argument("name", metavar="NAME", help="such as steam-balance, safety-valve")
    calc.add_argument("request", metavar="FILE", type=Path, help="the request, as JSON")
    calc.add_argument("--save", type=Path, help="file for a drawing or a paper")


def read_drawing(text: str) -> Path:
    """A file for a drawing, of a kind that is drawn."""
    path = Path(text)
    if path.suffix not in {".svg", ".dxf"}:
        raise argparse.ArgumentTypeError("end it in .svg or .dxf")
    return path


def add_command(commands: Any, name: str, run: Callable[..., int], purpose: str) -> Any:
    """One command, and the function that runs it."""
    parser = commands.add_parser(name, help=purpose, description=run.__doc__)
    parser.set_defaults(run=run)
    return parser


def add_day(parser: Any) -> None:
    """The day of an entry, fixed when it is noted."""
    parser.add_argument(
        "--day", type=read_day, default="today", help="such as 2026-11-12, or yesterday"
    )


def add_twice(parser: Any) -> None:
    """The way to note the same words twice on purpose."""
    parser.add_argument("--twice", action="store_true", help="note it though it repeats the last")


def one_of(names: Sequence[str]) -> Callable[[str], str]:
    """A reader of one of these names: whole, with spaces, or an unmistakable beginning."""

    def read(text: str) -> str:
        wanted = "_".join(re.split(r"[\s_-]+", text.strip().lower()))
        matching = [name for name in names if name.startswith(wanted)]
        if wanted in names:
            return wanted
        if len(matching) == 1:
            return matching[0]
        choice = ", ".join(map(words, matching or names))
        raise argparse.ArgumentTypeError(f"'{text}' is not one of: {choice}")

    return read


def read_time(text: str) -> str:
    """How long, as written for the server to read; a forgotten unit is asked for at once."""
    if not re.search(r"[0-9¼½¾]", text) or not re.search(r"[hm:]", text.lower()):
        raise argparse.ArgumentTypeError("write how long with its unit: 1h30 or 45min")
    return text


def read_day(text: str) -> str:
    """A day such as 2026-11-12, or today or yesterday."""
    if text in ("today", "yesterday"):
        return text
    try:
        return dt.date.fromisoformat(text).isoformat()
    except ValueError:
        raise argparse.ArgumentTypeError("write the day as 2026-11-12, or yesterday") from None


if __name__ == "__main__":
    exit_code = main()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # nothing is left to be stopped
    sys.exit(exit_code)
