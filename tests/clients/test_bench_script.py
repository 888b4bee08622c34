"""The script stays what it promises: one file for an old Python, in the service's own words."""

import ast
import contextlib
import io
import sys
from argparse import ArgumentParser, _SubParsersAction
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clients import bench
from service.records.models import Operation, Owner, PartState
from service.records.models.progress import MOST_PICTURES
from tests.clients.conftest import SCRIPT, WIDTH, Phone

COMMANDS = {
    "log", "note", "part receive", "part move", "part list", "demand", "fit", "thread", "index",
    "identify", "status", "send", "waiting", "setup",
}  # fmt: skip
SOURCE = SCRIPT.read_text(encoding="utf-8")


def test_the_source_is_python_3_9() -> None:
    tree = ast.parse(SOURCE, feature_version=(3, 9))
    assert not [node for node in ast.walk(tree) if isinstance(node, ast.Match)]


def test_it_needs_nothing_but_the_standard_library_and_requests() -> None:
    tree = ast.parse(SOURCE)
    imported = {
        name.split(".")[0]
        for node in ast.walk(tree)
        if isinstance(node, ast.Import | ast.ImportFrom)
        for name in ([node.module or ""] if isinstance(node, ast.ImportFrom) else
                     [alias.name for alias in node.names])
    }  # fmt: skip
    assert imported - set(sys.stdlib_module_names) == {"requests"}


def test_its_words_are_the_services_words() -> None:
    assert set(bench.OPERATIONS) == {operation.value for operation in Operation}
    assert set(bench.STATES) == {state.value for state in PartState}
    assert set(bench.OWNERS) == {owner.value for owner in Owner}
    assert bench.MOST_PHOTOS == MOST_PICTURES


def parsers(parser: ArgumentParser) -> Iterator[ArgumentParser]:
    """A parser and those of its commands."""
    yield parser
    for action in parser._actions:
        if isinstance(action, _SubParsersAction):
            for inner in action.choices.values():
                yield from parsers(inner)


def test_every_help_fits_a_phone() -> None:
    found = list(parsers(bench.build_parser()))
    assert {parser.prog.removeprefix("bench.py").strip() for parser in found} >= COMMANDS
    for parser in found:
        assert max(map(len, parser.format_help().splitlines())) <= WIDTH


def test_the_operations_can_be_listed(phone: Phone) -> None:
    ran = phone.run_offline("log", "--operations")
    assert ran.code == 0
    assert ran.said.split(", ") == [operation.value.replace("_", " ") for operation in Operation]


@given(text=st.text(max_size=300), begin=st.sampled_from(["", "* ", "  steam     "]))
def test_no_text_makes_a_line_too_long(text: str, begin: str) -> None:
    shown = io.StringIO()
    with contextlib.redirect_stdout(shown):
        bench.say(text, begin=begin)
    assert all(len(line) <= WIDTH for line in shown.getvalue().splitlines())


@pytest.mark.parametrize("word", [name.replace("_", " ") for name in bench.OPERATIONS])
def test_every_operation_is_read_from_its_words(word: str) -> None:
    assert bench.words(bench.one_of(bench.OPERATIONS)(word)) == word
