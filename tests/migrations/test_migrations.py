"""Migrations on filled tables: up, down and up again, with every row counted."""

import ast
import shutil
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

import migrations
from service.demo.loading import load_demo
from service.records.blobs import BlobStore
from service.records.columns import ExactDecimal, UtcDateTime
from service.records.database import Base, Database, make_engine
from service.records.schema import (
    configuration,
    current_revision,
    downgrade,
    newest_revision,
    upgrade,
)
from tests.conftest import DATABASES, NOW

FOLDER = Path(migrations.__file__).parent
REVISIONS = [
    script.revision
    for script in ScriptDirectory.from_config(configuration()).walk_revisions("base", "heads")
][::-1]


@pytest.fixture(params=DATABASES)
def own(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[sa.Engine]:
    """An empty database of the test's own."""
    engine = make_engine(make_address(request.param, request, tmp_path))
    yield engine
    engine.dispose()


@pytest.fixture(scope="module", params=DATABASES)
def template(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> sa.URL:
    """The address of a migrated database that holds the demo, to be copied."""
    folder = tmp_path_factory.mktemp("template")
    engine = make_engine(make_address(request.param, request, folder))
    with engine.connect() as connection:
        upgrade(connection)
    load_demo(Database(engine), BlobStore(folder / "blobs"), now=NOW)
    engine.dispose()
    return engine.url


@pytest.fixture
def filled(template: sa.URL, request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[sa.Engine]:
    """A copy of the filled database."""
    if template.get_backend_name() == "sqlite":
        copy = f"sqlite:///{tmp_path / 'copy.sqlite'}"
        shutil.copy(str(template.database), tmp_path / "copy.sqlite")
    else:
        copy = make_address("postgresql", request, tmp_path, template=template.database)
    engine = make_engine(copy)
    yield engine
    engine.dispose()


def make_address(
    kind: str, request: pytest.FixtureRequest, folder: Path, template: str | None = "template1"
) -> str:
    name = f"migrated_{uuid.uuid4().hex[:12]}"
    if kind == "sqlite":
        return f"sqlite:///{folder / name}.sqlite"
    server = sa.make_url(request.getfixturevalue("postgresql_address"))
    master = sa.create_engine(server, isolation_level="AUTOCOMMIT")
    with master.connect() as connection:
        connection.execute(sa.text(f'CREATE DATABASE "{name}" TEMPLATE "{template}"'))
    master.dispose()
    return server.set(database=name).render_as_string(hide_password=False)


def rows(engine: sa.Engine) -> dict[str, int]:
    with engine.connect() as connection:
        present = sa.inspect(connection).get_table_names()
        return {
            name: connection.scalar(sa.select(sa.func.count()).select_from(sa.table(name))) or 0
            for name in present
            if name not in {"alembic_version", "sqlite_sequence"}
        }


def test_the_model_is_the_schema(own: sa.Engine) -> None:
    with own.connect() as connection:
        upgrade(connection)
        connection.rollback()
        context = MigrationContext.configure(connection, opts={"compare_type": _same_type})
        assert compare_metadata(context, Base.metadata) == []
        names = set(sa.inspect(connection).get_table_names())
    assert {table.name for table in Base.metadata.sorted_tables} <= names


def _same_type(_: object, __: object, ___: object, found: object, wanted: object) -> bool | None:
    """Our own types are TEXT and INTEGER on SQLite; alembic compares all others itself."""
    return False if isinstance(wanted, UtcDateTime | ExactDecimal) else None


def test_the_constraints_of_the_model_are_in_the_database(own: sa.Engine) -> None:
    with own.connect() as connection:
        upgrade(connection)
        inspector = sa.inspect(connection)
        for table in Base.metadata.sorted_tables:
            wanted = {
                str(one.name)
                for one in table.constraints
                if isinstance(one, sa.CheckConstraint | sa.ForeignKeyConstraint)
            }
            found = {one["name"] for one in inspector.get_check_constraints(table.name)}
            found |= {one["name"] for one in inspector.get_foreign_keys(table.name)}
            assert wanted <= found, table.name


def test_up_down_and_up_again_leaves_the_newest_schema(filled: sa.Engine) -> None:
    assert sum(rows(filled).values()) > 100
    with filled.connect() as connection:
        downgrade(connection, "base")
        assert current_revision(connection) is None
    assert rows(filled) == {}

    with filled.connect() as connection:
        upgrade(connection)
        assert current_revision(connection) == newest_revision()
    assert {name for name, count in rows(filled).items() if count} == {"workshop"}


@pytest.mark.parametrize("below", REVISIONS[:-1] or ["none yet"])
def test_each_step_down_and_up_keeps_the_rows_of_what_stays(filled: sa.Engine, below: str) -> None:
    if below == "none yet":
        assert len(REVISIONS) == 1
        return
    before = rows(filled)
    with filled.connect() as connection:
        downgrade(connection, below)
    between = rows(filled)
    with filled.connect() as connection:
        upgrade(connection)
    after = rows(filled)

    assert {name: before[name] for name in between if name in before} == between
    assert {name: count for name, count in after.items() if name in between} == between


REBUILD = '''
"""rebuild a table that others point at"""

import sqlalchemy as sa
from alembic import op

revision = "rebuild"
down_revision = "{newest}"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("commissions", recreate="auto") as batch_op:
        batch_op.add_column(sa.Column("colour", sa.String(20)))
        batch_op.alter_column("title", new_column_name="name")


def downgrade() -> None:
    with op.batch_alter_table("commissions", recreate="auto") as batch_op:
        batch_op.alter_column("name", new_column_name="title")
        batch_op.drop_column("colour")
'''


@pytest.fixture
def with_rebuild(tmp_path: Path) -> Config:
    """Our migrations and one more, which rebuilds the table that most others point at."""
    folder = tmp_path / "migrations"
    shutil.copytree(FOLDER, folder, ignore=shutil.ignore_patterns("__pycache__"))
    (folder / "versions" / "rebuild.py").write_text(REBUILD.format(newest=newest_revision()))
    config = Config()
    config.set_main_option("script_location", str(folder))
    return config


def test_rebuilding_a_table_costs_no_row_that_points_at_it(
    filled: sa.Engine, with_rebuild: Config
) -> None:
    before = rows(filled)
    with filled.connect() as connection:
        with_rebuild.attributes["connection"] = connection
        command.upgrade(with_rebuild, "head")
        assert current_revision(connection) == "rebuild"
    assert rows(filled) == before

    with filled.connect() as connection:
        with_rebuild.attributes["connection"] = connection
        command.downgrade(with_rebuild, newest_revision())
    assert rows(filled) == before
    with filled.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": _same_type})
        assert compare_metadata(context, Base.metadata) == []


def test_foreign_keys_are_watched_again_after_a_migration(
    filled: sa.Engine, with_rebuild: Config
) -> None:
    with filled.connect() as connection:
        with_rebuild.attributes["connection"] = connection
        command.upgrade(with_rebuild, "head")
        connection.rollback()
        with pytest.raises(sa.exc.IntegrityError):
            connection.execute(sa.text("DELETE FROM customers"))


def test_a_migration_that_fails_changes_nothing_and_leaves_the_keys_watched(
    filled: sa.Engine, with_rebuild: Config
) -> None:
    script = Path(with_rebuild.get_main_option("script_location") or "") / "versions/rebuild.py"
    script.write_text(
        script.read_text().replace("def downgrade", "    raise LookupError\n\n\ndef downgrade")
    )
    before = rows(filled)
    with filled.connect() as connection:
        with_rebuild.attributes["connection"] = connection
        with pytest.raises(LookupError):
            command.upgrade(with_rebuild, "head")
        connection.rollback()
        assert current_revision(connection) == newest_revision()
        connection.rollback()
        with pytest.raises(sa.exc.IntegrityError):
            connection.execute(sa.text("DELETE FROM customers"))
        connection.rollback()
    assert rows(filled) == before
    with filled.connect() as connection:
        columns = {one["name"] for one in sa.inspect(connection).get_columns("commissions")}
    assert "colour" not in columns


@pytest.mark.parametrize(
    "script",
    [path for path in (FOLDER / "versions").glob("*.py") if path.name != "__init__.py"],
    ids=lambda path: path.name,
)
def test_a_revision_imports_nothing_that_may_change_under_it(script: Path) -> None:
    tree = ast.parse(script.read_text())
    imported: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            imported |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            imported |= {f"{node.module}.{name.name}" for name in node.names}
    allowed = {
        *("sqlalchemy", "alembic.op", "service.records.columns"),
        *("datetime", "typing.Any"),
    }

    assert {name for name in imported if name not in allowed} == set()


def test_there_is_one_line_of_revisions() -> None:
    assert ScriptDirectory.from_config(configuration()).get_heads() == [newest_revision()]


def test_a_report_issued_before_there_was_a_letterhead_is_given_the_one_it_had(
    filled: sa.Engine,
) -> None:
    reports = Base.metadata.tables["reports"]
    old = {"workshop": "Old Name", "number": 1, "title": "As issued"}
    with filled.connect() as connection:
        downgrade(connection, "8b1f0c6d27a4")
        connection.rollback()
        with connection.begin():
            connection.execute(
                sa.insert(reports).values(
                    commission_id=1, number=77, from_day=NOW.date(), to_day=NOW.date(),
                    state="issued", content=old, views=0, version=3, created_at=NOW,
                    updated_at=NOW,
                )
            )  # fmt: skip
        upgrade(connection)
        connection.rollback()
        asked = sa.select(reports.c.content, reports.c.version).where(reports.c.number == 77)
        content, version = connection.execute(asked).one()
        assert version == 3
        head = dict.fromkeys(("address", "email", "phone", "logo"))
        assert content == {**old, **head, "measure": "metric"}
        connection.rollback()
        downgrade(connection, "8b1f0c6d27a4")
        connection.rollback()
        assert connection.scalar(sa.select(reports.c.content).where(reports.c.number == 77)) == old


def test_the_workshops_own_name_survives_the_step_that_makes_its_row(filled: sa.Engine) -> None:
    workshop = Base.metadata.tables["workshop"]
    with filled.connect() as connection:
        named = connection.scalar(sa.select(workshop.c.name))
        connection.rollback()
        downgrade(connection, "8b1f0c6d27a4")
        upgrade(connection)
        connection.rollback()
        assert connection.scalar(sa.select(workshop.c.name)) == named != "The workshop"


def test_a_link_that_has_run_out_stays_closed_in_a_schema_that_knows_no_end(
    filled: sa.Engine,
) -> None:
    reports = Base.metadata.tables["reports"]
    ends = {71: None, 72: NOW.replace(year=2020), 73: NOW.replace(year=2990)}
    with filled.connect() as connection:
        with connection.begin():
            for number, end in ends.items():
                connection.execute(
                    sa.insert(reports).values(
                        commission_id=1, number=number, from_day=NOW.date(), to_day=NOW.date(),
                        state="issued", views=0, version=1, created_at=NOW, updated_at=NOW,
                        link_hash=f"{number}", link_expires_at=end,
                    )
                )  # fmt: skip
        downgrade(connection, "d2f6b81a4c07")
        connection.rollback()
        kept = sa.select(reports.c.number).where(reports.c.link_hash.is_not(None))
        assert set(connection.scalars(kept.where(reports.c.number.in_(ends)))) == {71, 73}
        connection.rollback()
        upgrade(connection)
