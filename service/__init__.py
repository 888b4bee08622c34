"""Clackbox: job tracking and engineering checks for a workshop that builds miniature steam plants.

`create_app` is the one place that wires things together.
"""

import errno
import gc
import os
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
    """The database that the settings name, knowing the files of the data folder.

    A restore that a crash broke off after its last word is finished here.
    """
    from service.records.backups.holdings import Holdings
    from service.records.backups.restoring import finish_broken_restore
    from service.records.database import Database
    from service.records.private_files import open_data_folder

    open_data_folder(settings.data)
    if not os.access(settings.data, os.W_OK | os.X_OK):
        raise PermissionError(errno.EACCES, "no right to write", str(settings.data))
    database = Database(settings.database_address)
    finish_broken_restore(Holdings.in_folder(database, settings.data))
    return _with_files(database, settings)


def create_app(settings: "Settings", database: "Database | None" = None) -> "Flask":
    """The whole service; `database` is given by tests that hold the transaction themselves."""
    from flask import Flask

    from service.api import register_api
    from service.api.proxies import NamedProxies
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
        database=_with_files(database, settings) if database else open_database(settings),
        blobs=BlobStore(settings.data / "blobs"),
    )
    register_api(app)
    register_pages(app)
    app.wsgi_app = NamedProxies(app.wsgi_app, settings.proxies)  # type: ignore
    _keep_what_is_loaded()
    return app


def _keep_what_is_loaded() -> None:
    """What the first application loads stays for good: no request waits while it is searched."""
    if not gc.get_freeze_count():
        gc.freeze()


def _with_files(database: "Database", settings: "Settings") -> "Database":
    from service.records.kit_files import KitFiles
    from service.records.standing import Standing

    database.kit_files = database.kit_files or KitFiles(settings.data / "tables")
    database.standing = database.standing or Standing(settings.data / "backups")
    return database
