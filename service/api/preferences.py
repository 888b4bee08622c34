"""What a request prefers (RFC 7240): the measure of its texts, and pictures beside the figures."""

from flask import Flask, Response, g, request

from service.quantities.wording import Measure

PREFERRED = "Prefer"


def measure() -> Measure:
    """The measure that texts are written in: the one asked for, else the workshop's."""
    if "measure" not in g:
        g.measure = asked_measure() or _workshop_measure()
    found: Measure = g.measure
    return found


def wants_pictures() -> bool:
    """Whether pictures are to stand in the answer itself."""
    return "pictures" in _preferences()


def say_what_was_preferred(app: Flask) -> None:
    """Let every answer name the preferences that were followed."""

    @app.after_request
    def name_preferences(response: Response) -> Response:
        followed = []
        if (asked := asked_measure()) is not None:
            followed.append(f"measure={asked}")
        if wants_pictures():
            followed.append("pictures")
        if request.path.startswith("/api/"):  # whatever shows a quantity shows it as preferred
            response.vary.add(PREFERRED)
        if followed:
            response.headers["Preference-Applied"] = ", ".join(followed)
        return response


def _workshop_measure() -> Measure:
    """Metric for whoever was not let in: a refusal is all that they read."""
    return g.asker.custom.measure if "asker" in g else Measure.METRIC


def asked_measure() -> Measure | None:
    """The measure asked for; a preference that is not understood is no error, but ignored."""
    asked = _preferences().get("measure", "")
    return Measure(asked) if asked in set(Measure) else None


def _preferences() -> dict[str, str]:
    if PREFERRED not in request.headers:
        return {}
    members = ",".join(request.headers.getlist(PREFERRED)).split(",")
    pairs = (member.partition(";")[0].partition("=") for member in members)
    return {name.strip().lower(): value.strip().strip('"').lower() for name, _, value in pairs}
