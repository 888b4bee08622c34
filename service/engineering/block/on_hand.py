"""What the workshop has for a block: its bars before the trade's, and what it lacks."""

from collections.abc import Iterable

from service.engineering.block.request import BlockRequest
from service.engineering.block.sizing import Search, search_sections
from service.engineering.block.stock import FACING_ALLOWANCE, Section, sections_in
from service.engineering.findings import Finding
from service.engineering.kit import Bar, Kit
from service.engineering.materials import find_material
from service.engineering.saying import length, name, say
from service.engineering.threads.catalogue import judge_stand


def search_rack(request: BlockRequest, kit: Kit) -> tuple[Search, bool]:
    """Search the bars on the rack, or the trade's where none of them does; whether it was those."""
    rack = _sections_on_rack(kit.stock or (), find_material(request.material).name)
    if rack:
        search = search_sections(request, rack)
        if search.fits:
            return search, True
    return search_sections(request, sections_in(request.material)), kit.stock is None


def judge_tools(search: Search, kit: Kit) -> tuple[Finding, ...]:
    """The taps that are not on hand, and the threads that no drill on hand is near enough for."""
    threads = dict.fromkeys(tapping.port.thread for tapping in search.tappings)
    drills, metal = search.request.drills, search.request.material
    found: list[Finding] = []
    for thread in threads:
        found += judge_stand(thread, material=metal, drills=drills)
        if kit.lacks_tap(thread):
            text = say("No tap for ", name(thread.designation), " is on hand.")
            found.append(Finding("caution", "no-tap-on-hand", text, source="the tools on hand"))
    return tuple(found)


def judge_bar(search: Search, *, is_on_rack: bool) -> tuple[Finding, ...]:
    """That no bar on the rack holds the block, where a list of them is kept."""
    if is_on_rack:
        return ()
    best = search.fits[0]
    wanted = length(best.boring.layout.length + FACING_ALLOWANCE, "length")
    text = say(
        ("No bar on hand will do: ", wanted, " of ", name(best.section.name, "bar"), " "),
        (name(search.request.material), " is wanted."),
    )
    return (Finding("caution", "no-bar-on-hand", text, source="the bars on hand"),)


def _sections_on_rack(stock: Iterable[Bar], metal: str) -> tuple[Section, ...]:
    """The bars of a metal that a block can be cut from, of each the longest piece."""
    longest: dict[str, Section] = {}
    for bar in stock:
        if bar.metal != metal or bar.shape == "hexagon":
            continue
        kept = longest.get(bar.name)
        if kept is None or bar.length > (kept.left or 0.0):
            longest[bar.name] = Section(
                name=bar.name,
                shape=bar.shape,
                width=bar.width,
                height=bar.height,
                unit=bar.unit,
                materials=(metal,),
                source="the bars on hand",
                left=bar.length,
            )
    return tuple(longest.values())
