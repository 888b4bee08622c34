"""Requests made up from the description itself: none may give a 500, and every answer conforms.

This is a sample; `made_up_requests.py` beside this file sends as many as are asked for.
"""

import pytest
from schemathesis import GenerationMode

from tests.api.made_up_requests import CALCULATIONS, RECORDS, Sender
from tests.conftest import DATABASES
from tests.real_server import RealServer

EXAMPLES_EACH = 6

ON_BOTH = pytest.mark.parametrize("real_server", DATABASES, indirect=True)
ON_SQLITE = pytest.mark.parametrize("real_server", DATABASES[:1], indirect=True)


@pytest.fixture(scope="module")
def sender(real_server: RealServer) -> Sender:
    """Somebody who asks the server."""
    return Sender(real_server)


@ON_BOTH
@pytest.mark.parametrize("mode", list(GenerationMode))
@pytest.mark.parametrize("label", RECORDS)
def test_no_request_that_can_be_made_up_breaks_the_service(
    sender: Sender, label: str, mode: GenerationMode
) -> None:
    sender.try_operation(label, mode, examples=EXAMPLES_EACH)


@ON_SQLITE
@pytest.mark.parametrize("mode", list(GenerationMode))
@pytest.mark.parametrize("label", CALCULATIONS)
def test_no_question_that_can_be_made_up_breaks_a_calculation(
    sender: Sender, label: str, mode: GenerationMode
) -> None:
    sender.try_operation(label, mode, examples=EXAMPLES_EACH)
