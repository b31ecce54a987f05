"""A participant's own pages. Only a POST changes anything: a GET may be a link scanner's."""

from typing import Any

from django.conf import settings
from django.http import (
    HttpRequest,
    HttpResponse,
    HttpResponseRedirect,
    JsonResponse,
    StreamingHttpResponse,
)
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from portal.personal.access import Holder, for_holders
from portal.personal.agreeing import agreement_of, agreements_of, receipts_for, take_back
from portal.personal.leaving import erase, withdraw_everything, withdraw_one
from portal.personal.own_data import own_data
from portal.personal.records import OwnRecord, may_publish, own_records
from portal.records.queries import current_release
from surveys.people.ledger import with_proofs


@for_holders
@require_safe
def own_page(request: HttpRequest, holder: Holder) -> HttpResponseBase:
    """Show the records, where they went, and what was agreed to."""
    now = timezone.now()
    records = own_records(holder.participant, at=now)
    standing = _standing(records)
    consents = holder.participant.consents.latest_at(now).order_by("id")
    context = {
        "records": records,
        "consents": consents,
        "agreements": agreements_of(holder.link, at=now),
        "receipts": receipts_for(holder.link),
        "today": now.date(),
        "may_withdraw": holder.link.used_at is None
        and bool(standing or may_publish(holder.participant, at=now)),
        "has_withdrawn": len(standing) < len(records),
    }
    return render(request, "personal/own_page.html", _site(holder) | context)


@for_holders
@require_http_methods(["GET", "HEAD", "POST"])
def withdrawal(request: HttpRequest, holder: Holder) -> HttpResponseBase:
    """Explain what a withdrawal would do, then do it when that is confirmed."""
    if request.method == "POST":
        _withdraw(request, holder)
        return HttpResponseRedirect(f"{holder.home}/withdrawn", status=303)
    now = timezone.now()
    reference = request.GET.get("record")
    standing = _standing(own_records(holder.participant, at=now))
    chosen = standing if reference is None else [r for r in standing if r.reference == reference]
    nothing_to_end = reference is not None or not may_publish(holder.participant, at=now)
    if holder.link.used_at is not None or (not chosen and nothing_to_end):
        return HttpResponseRedirect(holder.home, status=303)
    context = {"chosen": chosen, "reference": reference, "today": now.date()}
    return _with_form(render(request, "personal/withdrawal.html", _site(holder) | context))


@for_holders
@require_http_methods(["GET", "HEAD", "POST"])
def taking_back(request: HttpRequest, holder: Holder) -> HttpResponseBase:
    """Explain what ending one consent would do, then do it when that is confirmed."""
    now = timezone.now()
    if request.method == "POST":
        take_back(link=holder.link, purpose=request.POST.get("purpose", ""), at=now)
        return HttpResponseRedirect(holder.home, status=303)
    agreement = agreement_of(holder.link, request.GET.get("purpose", ""), at=now)
    if agreement is None:
        return HttpResponseRedirect(holder.home, status=303)
    context = {"agreement": agreement}
    return _with_form(render(request, "personal/taking_back.html", _site(holder) | context))


@for_holders
@require_http_methods(["GET", "HEAD", "POST"])
def erasure(request: HttpRequest, holder: Holder) -> HttpResponseBase:
    """Explain what erasing a person would do, then do it when that is confirmed."""
    now = timezone.now()
    context = _site(holder) | {"policy": settings.ERASURE, "today": now.date()}
    if request.method != "POST":
        context |= {"records": own_records(holder.participant, at=now)}
        context |= {"keep_days": settings.UPLOAD_KEEP_DAYS}
        return _with_form(render(request, "personal/erasure.html", context))
    if request.POST.get("erase") != "yes":
        return HttpResponseRedirect(f"{holder.home}/erasure", status=303)
    erase(link=holder.link, at=now)
    # Told at once: there is no page left to lead to.
    return render(request, "personal/erased.html", context)


@for_holders
@require_safe
def receipts(request: HttpRequest, holder: Holder) -> HttpResponseBase:
    """Send the receipts for all answers about consent, with proofs, as one file."""
    del request
    answer = JsonResponse(with_proofs(receipts_for(holder.link)))
    answer["Content-Disposition"] = 'attachment; filename="my-consent-receipts.json"'
    return answer


@for_holders
@require_safe
def withdrawn(request: HttpRequest, holder: Holder) -> HttpResponseBase:
    """Show what was withdrawn, since when, and which harvesters have confirmed it."""
    now = timezone.now()
    records = own_records(holder.participant, at=now)
    gone = [record for record in records if record.is_withdrawn]
    context = {
        "gone": gone,
        "is_waiting": any(record.receipts and record.receipts.waiting for record in gone),
        "standing": _standing(records),
        "may_publish": may_publish(holder.participant, at=now),
    }
    return render(request, "personal/withdrawn.html", _site(holder) | context)


@for_holders
@require_safe
def data(request: HttpRequest, holder: Holder) -> HttpResponseBase:
    """Send the person's own data as one file."""
    del request
    answer = StreamingHttpResponse(
        own_data(holder.participant, at=timezone.now()), content_type="application/json"
    )
    answer["Content-Disposition"] = 'attachment; filename="my-soil-records.json"'
    return answer


def _with_form(answer: HttpResponse) -> HttpResponse:
    # Browsers send "Origin: null" from a page without any referrer, and the form would be refused.
    # This word gives the name of the site and never the path.
    answer["Referrer-Policy"] = "strict-origin"
    return answer


def _withdraw(request: HttpRequest, holder: Holder) -> None:
    now = timezone.now()
    if request.POST.get("everything") == "yes":
        withdraw_everything(link=holder.link, at=now)
    else:
        withdraw_one(link=holder.link, reference=request.POST.get("record", ""), at=now)


def _standing(records: list[OwnRecord]) -> list[OwnRecord]:
    return [record for record in records if not record.is_withdrawn]


def _site(holder: Holder) -> dict[str, Any]:
    return {
        "dataset": settings.DATASET,
        "release": current_release(),
        "holder": holder,
        "participant": holder.participant,
    }
