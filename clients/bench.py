"""The bench script: hours, notes, parts and checks from a phone's Python, with or without network.

One file; it needs Python 3.9 and `requests`. Whatever is noted is first kept in a spool folder,
with its day and its idempotency key, and is then sent in the order of noting. It leaves the spool
only when the server's answer is known, so a lost signal, a dead battery or a second press sends
nothing twice and loses nothing.

Exit codes: 0 done, 1 refused, 2 not understood, 3 not sent yet (what was noted waits in the spool).
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
import sys
import textwrap
import time
import uuid
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any, NoReturn

import requests

DONE, REFUSED, USAGE, WAITS = 0, 1, 2, 3
WIDTH = 40
TIMEOUT = (5, 30)
"""Seconds to connect, and to wait for an answer."""
LARGEST_PHOTO = 20_000_000
MOST_PHOTOS = 12
PRESSED_TWICE = 30
"""Seconds within which the same words again are taken for a second press."""
PATIENCE = 10.0
"""Seconds to wait for another run of this script."""
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
PICTURE_KINDS = (
    (b"\xff\xd8\xff", "image/jpeg"),
    (b"\x89PNG\r\n\x1a\n", "image/png"),
    (b"RIFF", "image/webp"),
)


class Refusal(Exception):
    """The server has said no to what was asked, and would say no again."""


class Unsent(Exception):
    """The server was not reached, or could not or would not answer now."""


class Misuse(Exception):
    """The command cannot be understood as it stands."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; the exit code."""
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="replace", line_buffering=True)
    options = read_command(arguments)
    try:
        code: int = options.run(options)
    except Misuse as problem:
        say(str(problem))
        return USAGE
    except Refusal as problem:
        say(f"Refused: {problem}")
        return REFUSED
    except Unsent as problem:
        say(str(problem))
        return WAITS
    except OSError as problem:
        say(f"This device failed: {problem}. See what was kept: bench.py waiting")
        return REFUSED
    return code


# --- The commands that write ---------------------------------------------------------------------


def log_labour(options: argparse.Namespace) -> int:
    """Note minutes of one operation."""
    body = given(
        operation=options.operation,
        minutes=options.minutes,
        day=options.day,
        note=" ".join(options.note) or None,
        billable=options.billable,
    )
    what = f"{options.minutes} {words(options.operation)}, {options.reference}"
    return post(Entry(what, "/labour", body, options.reference), options)


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
        text=text, day=options.day, for_customer=options.customer, decision_wanted=options.decision
    )
    photos = f", {len(options.photo)} photo(s)" if options.photo else ""
    what = f"note: {textwrap.shorten(text, 60, placeholder=' …')}{photos}, {options.reference}"
    photographs = [check_photo(Path(name)) for name in options.photo]
    spool = Spool.of_environment()
    entry = Entry(what, "/progress", body, options.reference)
    for number, photograph in enumerate(photographs):
        caption = options.caption[number] if number < len(options.caption) else None
        entry.photos.append(spool.keep_photo(*photograph, caption=caption))
    return post(entry, options)


def check_photo(path: Path) -> tuple[Path, str]:
    """A photo and its media type; what the server would refuse is refused here, at once."""
    try:
        with path.open("rb") as file:
            start, size = file.read(12), path.stat().st_size
    except OSError as problem:
        raise Misuse(f"The photo {path} cannot be read: {problem.strerror}.") from None
    if size > LARGEST_PHOTO:
        raise Misuse(
            f"The photo {path.name} is {size / 1e6:.1f} MB; send one of at most "
            f"{LARGEST_PHOTO // 1_000_000} MB. Nothing was noted."
        )
    for beginning, media_type in PICTURE_KINDS:
        if start.startswith(beginning):
            return path, media_type
    raise Misuse(f"{path.name} is not a JPEG, PNG or WebP picture. Nothing was noted.")


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
    return post(Entry(what, "/parts", body, options.reference), options)


def move_part(options: argparse.Namespace) -> int:
    """Note that a part line, or some of it, has moved."""
    body = given(
        to_state=options.state, place=options.place, quantity=options.quantity, note=options.note
    )
    pieces = f"{options.quantity} of part" if options.quantity else "part"
    what = f"{pieces} {options.part} {words(options.state)}"
    return post(Entry(what, f"/parts/{options.part}/movements", body), options)


def post(entry: Entry, options: argparse.Namespace) -> int:
    """Keep an entry in the spool, then send whatever waits there, oldest first."""
    spool = Spool.of_environment()
    if not spool.note(entry, twice=options.twice):
        say(f"Noted a moment ago, and not again: {entry.what}. Say --twice if you mean it twice.")
    code = send_waiting(spool, Server())
    if code != REFUSED and spool.has_refused(entry):
        say(f"Refused in another run: {entry.what}. See: bench.py waiting")
        return REFUSED
    return code


def send_spool(options: argparse.Namespace) -> int:
    """Send what waits; with --again also what was refused, once its cause is mended."""
    spool = Spool.of_environment()
    if options.again:
        spool.take_back_refused()
    return send_waiting(spool, Server())


def send_waiting(spool: Spool, server: Server) -> int:
    """Send entries in order until none is left or one cannot be sent; the exit code."""
    refused = False
    try:
        with spool.sending():
            for path in spool.take_in_turn():
                refused |= not send_or_set_aside(spool, server, path)
    except Unsent as problem:
        say(str(problem))
    waiting = spool.waiting()
    show_waiting(spool, waiting)
    return REFUSED if refused else WAITS if waiting else DONE


def send_or_set_aside(spool: Spool, server: Server, path: Path) -> bool:
    """Send one entry and take it out of the spool, or set it aside when it is refused."""
    what = path.name
    try:
        entry = spool.read(path)
        what = entry.what
        answer = send_entry(spool, server, path, entry)
    except Refusal as problem:
        spool.set_aside(path, str(problem))
        say(f"Refused: {what}")
        say(str(problem), begin="  ")
        say("It is kept; see: bench.py waiting", begin="  ")
        return False
    spool.remove(path, entry)
    number = f" (part {answer['id']})" if entry.path == "/parts" else ""
    say(f"Sent: {what}{number}")
    return True


def send_entry(spool: Spool, server: Server, path: Path, entry: Entry) -> dict[str, Any]:
    """Take an entry's steps in order, keeping the result of each before the next is taken."""
    if entry.reference is not None and entry.commission_id is None:
        entry.commission_id = server.find_commission(entry.reference)
        spool.save(path, entry)  # another try must be the same request to the byte
    for photo in entry.photos:
        if photo.picture_id is None:
            photo.picture_id = send_photo(spool, server, entry, photo)
            spool.save(path, entry)
    body = dict(entry.body)
    if entry.commission_id is not None:
        body["commission_id"] = entry.commission_id
    if entry.photos:
        body["pictures"] = list(dict.fromkeys(photo.picture_id for photo in entry.photos))
    return server.create(entry.path, key=entry.key, data=json.dumps(body).encode())


def send_photo(spool: Spool, server: Server, entry: Entry, photo: Photo) -> int:
    """Send one photo; the number of its picture."""
    try:
        image = spool.photo_path(photo).read_bytes()
    except FileNotFoundError:
        raise Refusal("A photo of this note has gone from the spool.") from None
    picture = server.create(
        "/pictures",
        key=photo.key,
        data=image,
        media_type=photo.media_type,
        params=given(commission_id=entry.commission_id, caption=photo.caption),
    )
    number: int = picture["id"]
    return number


def list_waiting(options: argparse.Namespace) -> int:
    """List what waits and what was refused; forget a refused one if asked to."""
    spool = Spool.of_environment()
    if options.drop is not None:
        spool.drop_refused(options.drop)
    show_waiting(spool, spool.waiting(), most=10_000)
    for number, (path, problem) in enumerate(spool.refusals(), 1):
        say(f"Refused {number}: {spool.describe(path)}")
        say(problem, begin="  ")
    return DONE


def show_waiting(spool: Spool, waiting: list[Path], *, most: int = 5) -> None:
    """Say what waits here, and that nothing does."""
    for path in waiting[:most]:
        say(f"Waits: {spool.describe(path)}")
    if len(waiting) > most:
        say(f"and {len(waiting) - most} more.")
    if waiting:
        say(f"{len(waiting)} kept here. Send later: bench.py send")
    else:
        say("Nothing waits.")


# --- The commands that ask -----------------------------------------------------------------------


def show_status(options: argparse.Namespace) -> int:
    """Show where a commission stands, and what of it waits here."""
    spool = Spool.of_environment()
    try:
        server = Server()
        commission_id = server.find_commission(options.reference)
        show_summary(server.ask("GET", f"/commissions/{commission_id}/summary"))
    finally:
        waiting = [path for path in spool.waiting() if spool.is_about(path, options.reference)]
        say(f"Waiting here: {len(waiting)} of this, {len(spool.waiting())} in all.")
        for path in waiting:
            say(spool.describe(path), begin="- ")
        if refused := len(spool.refusals()):
            say(f"Refused: {refused}. See: bench.py waiting")
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
    body = given(thread=options.thread, drill=options.drill, material=options.material)
    answer = Server().calculate("thread", body)
    per_inch = answer["threads_per_inch"]
    say(answer["designation"])
    row("angle", answer["included_angle"]["text"])
    row("pitch", answer["pitch"]["text"] + (f", {per_inch:g} per inch" if per_inch else ""))
    for name in ("major", "effective", "core", "root"):
        row(name, size(answer[f"{name}_diameter"]))
    row("depth", size(answer["depth"]))
    if answer["taper"]:
        row("taper", f"1 in {1 / answer['taper']:.0f}")
    say("Tapping drills, of full depth:")
    for drill in answer["tapping_drills"]:
        below = ", below core" if drill["below_core"] else ""
        row(drill["drill"], f"{drill['depth_percent']:.0f} % of {drill['basis']}{below}")
    if drilled := answer.get("drilled"):
        say(f"Drilled {size(drilled['diameter'])}:")
        row("", f"{drilled['depth_percent']:.0f} % of {drilled['basis']}")
    show_findings(answer)
    return DONE


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
    if bool(options.count) != bool(options.over):
        raise Misuse("--count and --over go together.")
    body = given(
        gender="male" if options.od else "female",
        diameter=options.od or options.bore,
        caliper_error=options.error,
        threads_per_inch=options.tpi,
        pitch=options.pitch,
        count=options.count,
        over=options.over,
        included_angle=options.angle,
    )
    answer = Server().calculate("thread-identify", body)
    for number, candidate in enumerate(answer["candidates"], 1):
        say(f"{number}. {candidate['designation']}, {candidate['likelihood'] * 100:.0f} %")
        say(candidate["why"], begin="   ")
        if candidate.get("tell_apart"):
            say(f"to tell: {candidate['tell_apart']}", begin="   ")
    if not answer["candidates"]:
        say("Nothing in the catalogue measures so.")
    show_findings(answer)
    return DONE


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
    path = settings_path()
    path.parent.mkdir(parents=True, exist_ok=True)
    with open(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w") as file:
        settings.write(file)
    path.chmod(0o600)
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


@dataclass
class Entry:
    """One thing noted; `noted` is this device's own time, and the key is made with it."""

    what: str
    path: str
    body: dict[str, Any]
    reference: str | None = None
    photos: list[Photo] = field(default_factory=list)
    key: str = field(default_factory=lambda: str(uuid.uuid4()))
    noted: str = field(default_factory=lambda: time.strftime("%Y-%m-%dT%H:%M:%S%z"))
    commission_id: int | None = None

    def digest(self) -> str:
        """What two presses of the same button have in common."""
        photos = [(photo.sha256, photo.caption) for photo in self.photos]
        said = json.dumps([self.path, self.reference, self.body, photos])
        return hashlib.sha256(said.encode()).hexdigest()


class Spool:
    """The folder of what waits: a numbered file an entry, with photos and refused ones beside."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.photos, self.refused = folder, folder / "photos", folder / "refused"
        for needed in (self.folder, self.photos, self.refused):
            needed.mkdir(mode=0o700, parents=True, exist_ok=True)

    @classmethod
    def of_environment(cls) -> Spool:
        """The spool named by BENCH_SPOOL, or the usual one."""
        return cls(folder_named("BENCH_SPOOL", "~/.local/share/clackbox/spool"))

    def note(self, entry: Entry, *, twice: bool) -> bool:
        """Keep an entry behind all others; False if it only repeats the press before it."""
        with hold_lock(self.folder / "numbering.lock"):
            if not twice and self._is_second_press(entry):
                self._drop_photos(entry)
                return False
            waiting = self.waiting()
            number = int(waiting[-1].stem) + 1 if waiting else 1
            self.save(self.folder / f"{number:08d}.json", entry)
            write_whole(self.folder / "last-press", entry.digest().encode())
        return True

    def _is_second_press(self, entry: Entry) -> bool:
        last = self.folder / "last-press"
        if not last.exists() or last.read_text() != entry.digest():
            return False
        return 0 <= time.time() - last.stat().st_mtime < PRESSED_TWICE

    def keep_photo(self, path: Path, media_type: str, *, caption: str | None) -> Photo:
        """Copy a photo, so that it may leave the phone before it is sent."""
        image = path.read_bytes()
        photo = Photo(str(uuid.uuid4()), media_type, caption, hashlib.sha256(image).hexdigest())
        write_whole(self.photo_path(photo), image)
        return photo

    def photo_path(self, photo: Photo) -> Path:
        """Where the copy of a photo lies."""
        return self.photos / photo.key

    def waiting(self) -> list[Path]:
        """The entries that wait, in the order in which they were noted."""
        return sorted(self.folder.glob("*.json"))

    def take_in_turn(self) -> Iterator[Path]:
        """The oldest entry, again and again, with whatever is noted meanwhile."""
        while waiting := self.waiting():
            yield waiting[0]

    @contextmanager
    def sending(self) -> Iterator[None]:
        """Keep other runs from sending; they wait a while for this one."""
        try:
            with hold_lock(self.folder / "sending.lock"):
                yield
        except Busy:
            raise Unsent("Another run of this script is sending.") from None

    def read(self, path: Path) -> Entry:
        """Read an entry."""
        try:
            content = json.loads(path.read_text(encoding="utf-8"))
            photos = [Photo(**photo) for photo in content.pop("photos")]
            return Entry(**content, photos=photos)
        except (ValueError, TypeError, KeyError, AttributeError):
            raise Refusal(f"{path.name} in the spool is damaged.") from None

    def save(self, path: Path, entry: Entry) -> None:
        """Write an entry whole, or not at all."""
        write_whole(path, json.dumps(asdict(entry), indent=1).encode())

    def remove(self, path: Path, entry: Entry) -> None:
        """Forget an entry whose answer is known; its photos first, for nothing points at them."""
        self._drop_photos(entry)
        path.unlink()

    def set_aside(self, path: Path, problem: str) -> None:
        """Put a refused entry out of the others' way, with what was said of it."""
        aside = self.refused / f"{time.time_ns()}-{path.name}"
        write_whole(aside.with_suffix(".txt"), problem.encode("utf-8", "replace"))
        os.replace(path, aside)

    def refusals(self) -> list[tuple[Path, str]]:
        """The entries that were refused, oldest first, each with its problem."""
        return [
            (path, path.with_suffix(".txt").read_text(encoding="utf-8"))
            for path in sorted(self.refused.glob("*.json"))
        ]

    def has_refused(self, entry: Entry) -> bool:
        """Whether an entry of this key was set aside."""
        return any(entry.key in path.read_text(encoding="utf-8") for path, _ in self.refusals())

    def take_back_refused(self) -> None:
        """Let refused entries wait again, with the keys they had."""
        for path, _ in self.refusals():
            with suppress(Refusal):  # a damaged entry stays where it is
                self.note(self.read(path), twice=True)
                path.unlink()
                path.with_suffix(".txt").unlink()

    def drop_refused(self, number: int) -> None:
        """Forget a refused entry for good."""
        refusals = self.refusals()
        if not 1 <= number <= len(refusals):
            raise Misuse(f"There is no refused entry {number}.")
        path, _ = refusals[number - 1]
        say(f"Forgotten: {self.describe(path)}")
        with suppress(Refusal):  # a damaged entry names no photos
            self._drop_photos(self.read(path))
        path.unlink()
        path.with_suffix(".txt").unlink()

    def describe(self, path: Path) -> str:
        """An entry in a line: what, and when it was noted."""
        try:
            entry = self.read(path)
        except Refusal as problem:
            return str(problem)
        return f"{entry.what} ({entry.noted[:10]} {entry.noted[11:16]})"

    def is_about(self, path: Path, reference: str) -> bool:
        """Whether an entry belongs to a commission."""
        try:
            return self.read(path).reference == reference
        except Refusal:
            return False

    def _drop_photos(self, entry: Entry) -> None:
        for photo in entry.photos:
            if self.photo_path(photo).exists():
                self.photo_path(photo).unlink()


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that after a crash it is there whole, or as it was before."""
    draft = path.with_name(f".{path.name}.{os.getpid()}.draft")
    with draft.open("wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    os.replace(draft, path)
    if os.name == "posix":
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
    with path.open("ab") as file:
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
        self.session = requests.Session()
        self.commissions: dict[str, int] = {}

    def ask(self, method: str, path: str, **request: Any) -> dict[str, Any]:
        """One request, and the object that answers it."""
        address, token = read_settings()

        def sign(signed: requests.PreparedRequest) -> requests.PreparedRequest:
            signed.headers["Authorization"] = f"Bearer {token}"
            return signed

        try:
            answer = self.session.request(
                method,
                f"{address}/api/v1{path}",
                auth=sign,  # not a header, which a .netrc file would replace
                timeout=TIMEOUT,
                allow_redirects=False,  # a redirected POST would become a GET that writes nothing
                **request,
            )
        except (requests.RequestException, ValueError) as problem:
            raise Unsent(explain_failure(problem, address)) from None
        return judge_answer(answer)

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
            raise Unsent("What answers is not the service. Check the address and the network.")
        return record

    def calculate(self, what: str, body: dict[str, Any]) -> dict[str, Any]:
        """The answer of a calculation."""
        return self.ask("POST", f"/calculations/{what}", json=body)

    def fetch(self, what: str, body: dict[str, Any], target: Path) -> None:
        """Fetch a drawing or a paper of a calculation into a file."""
        address, token = read_settings()
        try:
            answer = self.session.post(
                f"{address}/api/v1/calculations/{what}",
                json=body,
                headers={"Authorization": f"Bearer {token}"},
                timeout=TIMEOUT,
                allow_redirects=False,
            )
        except (requests.RequestException, ValueError) as problem:
            raise Unsent(explain_failure(problem, address)) from None
        if answer.status_code != 200:
            judge_answer(answer)
        target.write_bytes(answer.content)
        say(f"Written: {target}")

    def find_commission(self, reference: str) -> int:
        """The number of a commission by its reference."""
        if reference not in self.commissions:
            found = self.ask("GET", "/commissions", params={"reference": reference})
            if not found.get("items"):
                raise Refusal(f"There is no commission {reference}.")
            self.commissions[reference] = found["items"][0]["id"]
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
    except ValueError:
        return None
    return body if isinstance(body, dict) else None


def explain_problem(problem: dict[str, Any]) -> str:
    """A problem's text: each field with what is wrong with it, or the detail."""
    errors = problem.get("errors")
    if isinstance(errors, dict) and errors:
        return "; ".join(
            f"{name}: {' '.join(map(str, texts if isinstance(texts, list) else [texts]))}"
            for name, texts in errors.items()
        )
    return str(problem.get("detail") or problem.get("title") or "It gives no reason.")


def explain_failure(problem: Exception, address: str) -> str:
    """Why a request got no answer."""
    if isinstance(problem, requests.exceptions.SSLError):
        return f"{address} shows a certificate that this device does not trust."
    if isinstance(problem, requests.Timeout):
        return f"{address} did not answer in time."
    if isinstance(problem, requests.ConnectionError):
        return f"No network, or nothing answers at {address}."
    return f"The request could not be made: {problem}"


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


def settings_path() -> Path:
    """Where the settings file lies."""
    return folder_named("BENCH_SETTINGS", "~/.config/clackbox/bench.ini")


def folder_named(variable: str, usual: str) -> Path:
    """A place named in the environment, or the usual one."""
    return Path(os.environ.get(variable) or usual).expanduser()


# --- What is shown -------------------------------------------------------------------------------


def say(text: str, *, begin: str = "", under: str | None = None) -> None:
    """Print a text at a phone's width; its further lines are indented as far as `begin` is long."""
    plain = "".join(sign if sign.isprintable() else " " for sign in text)
    lines = textwrap.wrap(
        plain,
        WIDTH,
        initial_indent=begin,
        subsequent_indent=" " * len(begin) if under is None else under,
        break_on_hyphens=False,
    )
    print("\n".join(lines))


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

    def error(self, message: str) -> NoReturn:
        """Say what is not understood, and leave."""
        say(f"{message}. Help: {self.prog} -h")
        sys.exit(USAGE)


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


def read_command(arguments: Sequence[str] | None) -> argparse.Namespace:
    """The command and its options; the words of `log` may also stand behind its options."""
    parser = build_parser()
    options, further = parser.parse_known_args(arguments)
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
    """`status`, `send`, `waiting` and `setup`."""
    status = add_command(commands, "status", show_status, "where a commission stands")
    status.add_argument("reference", metavar="COMMISSION")
    send = add_command(commands, "send", send_spool, "send what waits")
    send.add_argument("--again", action="store_true", help="and what was refused")
    waiting = add_command(commands, "waiting", list_waiting, "list what waits")
    waiting.add_argument("--drop", type=int, metavar="N", help="forget refused entry N for good")
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
    thread.add_argument("thread", metavar="THREAD")
    thread.add_argument("--drill")
    thread.add_argument("--material")
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
    identify.add_argument("--angle", help="of the gauge that fits")
    identify.add_argument("--error", help="of the caliper")


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
    """A day such as 2026-11-12, today or yesterday, by this device's calendar."""
    today = dt.date.fromisoformat(time.strftime("%Y-%m-%d"))
    if text in ("today", "yesterday"):
        return (today - dt.timedelta(days=text == "yesterday")).isoformat()
    try:
        return dt.date.fromisoformat(text).isoformat()
    except ValueError:
        raise argparse.ArgumentTypeError("write the day as 2026-11-12, or yesterday") from None


if __name__ == "__main__":
    sys.exit(main())
