"""Understand the bodies that reviewers and stewards send."""

from typing import TypeVar

from pydantic import BaseModel
from rest_framework.request import Request

from api.errors import Problem, with_docs
from api.parsing import body_of
from surveys.intake.reading import read_shape
from surveys.intake.strict_json import NotReadable, read_json
from surveys.intake.wording import translated

Shape = TypeVar("Shape", bound=BaseModel)


def read_body(request: Request, shape: type[Shape]) -> Shape:
    """Return the body as its shape.

    Raises
    ------
    Problem
        If it is no JSON, or has faults.
    """
    try:
        raw = read_json(body_of(request))
    except NotReadable as error:
        code = "body-not-json"
        raise Problem(code, str(error)) from error
    sent, faults = read_shape(shape, raw)
    if sent is None:
        code = "invalid-records"
        raise Problem(code, **with_docs(translated(fault.as_dict() for fault in faults)))
    return sent
