"""Clackbox: job tracking and engineering checks for a workshop that builds miniature steam plants.

`create_app` is the one place that wires things together.
"""

import gc
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask

    from service.records.blobs import BlobStore
    from service.records.database import Database
    from service.settings import Settings


@dataclass(frozen=True, slots=True)
class Workshop:
    """What a request may reach: the settings, the database and the blob store."""

    settings: "Settings"
    database: "Database"
    blobs: "BlobStore"


def open_database(settings: "Settings") -> "Database":
    """The database that the settings name, knowing the workshop's own tables."""
    from service.records.database import Database
    from service.records.kit_files import read_kit

    settings.data.mkdir(parents=True, exist_ok=True)
    database = Database(settings.database_address)
    database.kit = read_kit(settings.data / "tables")
    return database


def create_app(settings: "Settings", database: "Database | None" = None) -> "Flask":
    """The whole service; `database` is given by tests that hold the transaction themselves."""
    from flask import Flask

    from service.api import register_api
    from service.pages import register_pages
    from service.records.blobs import BlobStore

    app = Flask(__name__, static_folder=None, template_folder=None)
    app.config.update(
        MAX_CONTENT_LENGTH=settings.largest_upload,
        PROPAGATE_EXCEPTIONS=False,
        TRUSTED_HOSTS=list(settings.trusted_hosts) or None,
    )
    app.json.sort_keys = False  # type: ignore[attr-defined]
    app.extensions["clackbox"] = Workshop(
        settings=settings,
        database=database or open_database(settings),
        blobs=BlobStore(settings.data / "blobs"),
    )
    register_api(app)
    register_pages(app)
    _keep_what_is_loaded()
    return app


def _keep_what_is_loaded() -> None:
    """What the first application loads stays for good: no request waits while it is searched."""
    if not gc.get_freeze_count():
        gc.freeze()
