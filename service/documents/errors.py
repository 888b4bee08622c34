"""What the documents floor refuses.

DocumentError
└── UnusablePicture     these bytes are not a photograph we can keep
"""


class DocumentError(Exception):
    """A refusal: a stable `code`, a plain sentence, and the field at fault when there is one."""

    code = "document-refused"

    def __init__(self, message: str, *, field: str | None = None, code: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field
        if code:
            self.code = code


class UnusablePicture(DocumentError):
    """These bytes are not a photograph we can keep; the sentence says what would be right."""

    code = "unusable-picture"

    def __init__(self, message: str, *, code: str | None = None) -> None:
        super().__init__(message, field="picture", code=code)
