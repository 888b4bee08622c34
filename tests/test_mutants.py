"""The mutation script itself: it makes the mistakes it speaks of, and tells noticed from missed."""

import ast
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from tests.mutants.draw import AREAS, draw_mutants, find_again, find_mutants, share_out
from tests.mutants.judge import TESTS, Copy, find_tests, package_of
from tests.mutants.mutators import find_changes

HOUSE = Path(__file__).resolve().parent.parent


@pytest.mark.parametrize(
    ("text", "mutants"),
    [
        ("a < b", {"a > b"}),
        ("a <= b", {"a >= b"}),
        ("a == b", {"a != b"}),
        ("a in b", {"a not in b"}),
        ("a not in b", {"a in b"}),
        ("a is not None", {"a is None"}),
        ("a < b <= c", {"a > b <= c", "a < b >= c"}),
        ("len(a) < b", {"len(a) > b", "len(a) <= b"}),
        ("a > 0", {"a < 0", "a > 1"}),
        ("a - b", {"a + b"}),
        ("(a + b) * c", {"(a - b) * c", "(a + b) / c"}),
        ("a ** b", {"a * b"}),
        ("a += b", {"a -= b"}),
        ("a + 'words'", set()),
        ("f(by=2.0)", {"f(by=2.14)"}),
        ("a[3]", {"a[2]", "a[4]"}),
        ("a = 200", {"a = 214"}),
        ("a = 0.0", {"a = 1.0"}),
        ("a = Fraction('2.0')", {'a = Fraction("2.140")'}),
        ("a = Fraction('1/3')", set()),
        ("a and b and c", {"a or b and c", "a and b or c"}),
        ("(a) or (b)", {"(a) and (b)"}),
        ("a = not b", {"a =  b"}),
        ("a = -b", {"a = b"}),
        ("min(a, b)", {"max(a, b)"}),
        ("a = True", {"a = False"}),
        ("for a in b: continue", {"for a in b: break", "for a in b: pass"}),
        ("for a in b: break", {"for a in b: continue", "for a in b: pass"}),
        ("def f() -> bool: return (a) or b", {"def f() -> bool: return not ((a) or b)",
                                              "def f() -> bool: return (a) and b"}),
        ("def f():\n  if a: return None\n  g()", {"def f():\n  if a: pass\n  g()"}),
        ("def f():\n  g()\n  return", set()),
        ("a = 'Größe ⌀', b < c", {"a = 'Größe ⌀', b > c"}),
    ],
)  # fmt: skip
def test_each_mistake_is_made_as_it_is_described(text: str, mutants: set[str]) -> None:
    assert {change.apply(text) for change in find_changes(text)} == mutants


@pytest.mark.parametrize(
    "text",
    [
        '"""Of 3 - 2 words, not 1."""',
        "from a import b",
        "a: tuple[1, 2]",
        "def f(a: Literal[1]) -> Literal[2]: ...",
        "A = Literal[1, 2]",
        "__slots__ = (1, 2)",
        "@lru_cache(maxsize=9)\ndef f(): ...",
        "if TYPE_CHECKING:\n  a = 1",
        "raise Refused(a - b, limit=3)",
        "a = f'{b - 1:.3f}'",
        "assert a < b",
        "zip(a, b, strict=True)",
    ],
)
def test_what_says_nothing_to_the_machine_is_left_alone(text: str) -> None:
    assert find_changes(text) == []


def test_the_layout_of_a_file_is_kept() -> None:
    text = "a = (\n    b  # one or two\n    or c\n)\n\n\nd = 1\n"

    assert [(change.line, change.apply(text)) for change in find_changes(text)[:1]] == [
        (3, "a = (\n    b  # one or two\n    and c\n)\n\n\nd = 1\n")
    ]


def test_every_drawn_mutant_compiles_and_says_something_else() -> None:
    drawn = draw_mutants(HOUSE, count=300, seed=7)

    assert len(drawn) == 300
    for mutant in drawn:
        text = (HOUSE / mutant.path).read_text(encoding="utf-8")
        changed = mutant.change.apply(text)
        compile(changed, mutant.path, "exec")
        assert ast.dump(ast.parse(changed)) != ast.dump(ast.parse(text)), mutant.place


def test_a_seed_draws_the_same_mutants_and_a_greater_count_more_of_them() -> None:
    few = draw_mutants(HOUSE, count=40, seed=3, areas=("plant",))

    assert draw_mutants(HOUSE, count=60, seed=3, areas=("plant",))[:40] == few
    assert draw_mutants(HOUSE, count=40, seed=4, areas=("plant",)) != few


def test_small_areas_are_not_drawn_too_thinly() -> None:
    shares = share_out(300, {"great": 8000, "middling": 1000, "small": 200, "tiny": 12})

    assert shares == {"great": 225, "middling": 33, "small": 30, "tiny": 12}


def test_every_area_has_tests_to_answer_for_it() -> None:
    for package in TESTS:
        assert find_tests(HOUSE, package), package
    for area in AREAS:
        for path in (HOUSE / "service" / area).rglob("*.py"):
            assert package_of(path.relative_to(HOUSE).as_posix()).startswith(area)


SOURCE = "def count(limit):\n    n = 0\n    while n < limit:\n        n += 1\n    return n, 5\n"
TEST = "from service.plant.counting import count\n\ndef test_it():\n    assert count(3)[0] == 3\n"


@pytest.fixture
def small_house(tmp_path: Path) -> Path:
    """A house of one module, whose test does not look at all it says."""
    house = tmp_path / "small"
    for name, text in {
        "pyproject.toml": '[tool.pytest.ini_options]\naddopts = "--import-mode=importlib -ra"\n',
        "service/__init__.py": "",
        "service/plant/counting.py": SOURCE,
        "tests/plant/test_counting.py": TEST,
        "tests/plant/test_red.py": f"{TEST}\ndef test_red():\n    assert False\n",
        "tests/plant/test_lame.py": "import nothing_of_the_kind\n",
    }.items():
        (house / name).parent.mkdir(parents=True, exist_ok=True)
        (house / name).write_text(text)
    shutil.copytree(HOUSE / "tests/mutants", house / "tests/mutants")
    return house


def test_a_survivor_is_found_again_where_its_line_has_moved(small_house: Path) -> None:
    module = small_house / "service/plant/counting.py"
    turned = next(m for m in find_mutants(small_house, module) if "turned" in m.change.kind)
    module.unlink()
    moved = small_house / "service/plant/sums/counting.py"
    moved.parent.mkdir()
    moved.write_text(f"# more\n{SOURCE}")
    gone = turned.write_down().replace("limit", "edge")

    found, lost = find_again(small_house, f"{turned.write_down()}\n{gone}\n")

    assert [mutant.place for mutant in found] == ["service/plant/sums/counting.py:4"]
    assert lost == [gone]


def test_a_mutant_is_noticed_missed_or_runs_out_of_time(small_house: Path, tmp_path: Path) -> None:
    copy = Copy(tmp_path / "copy")
    copy.fill(small_house)
    module = copy.house / "service/plant/counting.py"
    mutants = {mutant.after: mutant for mutant in find_mutants(copy.house, module)}

    yardstick = copy.measure("plant")
    noticed = copy.judge(mutants["while n > limit:"], yardstick)
    missed = copy.judge(mutants["return n, 4"], yardstick)
    endless = copy.judge(mutants["n -= 1"], replace(yardstick, limit=4.0))

    assert yardstick.tests == ["tests/plant/test_counting.py", "tests/plant/test_red.py"]
    assert yardstick.red == ["tests/plant/test_lame.py", "tests/plant/test_red.py::test_red"]
    assert (noticed, missed, endless) == ("by a test", "survived", "by the clock")
    assert module.read_text() == SOURCE
