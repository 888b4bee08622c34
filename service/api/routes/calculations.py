"""Every calculation over HTTP."""

from service.api.blueprint import Blueprint
from service.api.calculation import serve
from service.api.calculations import CALCULATIONS

blp = Blueprint("calculations", __name__, description="Calculations: asked, answered, drawn.")

serve(blp, CALCULATIONS)
