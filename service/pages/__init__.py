"""Server-rendered pages: the way in, the customer's report, and the API described for people."""

from flask import Flask


def register_pages(app: Flask) -> None:
    """Hang every page on the application."""
    from service.pages import documentation, reports, welcome
    from service.pages.manners import FILTERS

    app.jinja_env.filters.update(FILTERS)
    app.register_blueprint(welcome.blp)
    app.register_blueprint(documentation.blp)
    app.register_blueprint(reports.blp)
