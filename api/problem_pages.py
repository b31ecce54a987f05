"""A page for every problem and every fault: what it means and how to mend it."""

import json

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from api.errors import PROBLEMS, problem_document
from api.partners.explanations import explanation


def problem_page(request: HttpRequest, code: str) -> HttpResponse:
    """Show the page of a problem or fault.

    Raises
    ------
    Http404
        If there is no such code.
    """
    if code in PROBLEMS:
        status, title, meaning, fix = PROBLEMS[code]
        example = json.dumps(problem_document(code), indent=2)
    else:
        text = explanation(code)
        if text is None:
            msg = "No such problem."
            raise Http404(msg)
        status, title, example = None, code.replace("-", " ").capitalize(), ""
        meaning, fix = text
    context = {
        "code": code,
        "status": status,
        "title": title,
        "meaning": meaning,
        "fix": fix,
        "example": example,
        "dataset": settings.DATASET,
    }
    return render(request, "problems/problem.html", context)
