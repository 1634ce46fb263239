"""The pages that refuse: each says what was wrong and what to do."""

from django.conf import settings
from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _


def csrf(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form that did not come from these pages, or from one that was open before the keeper logged out."""
    said = _("This form was not accepted: it did not come from these pages, or the page was open too long. Go back, load the page again "
             "and send it once more. Nothing was changed.")
    return render(request, "refused.html", {"reason": said}, status=403)


def not_understood(request: HttpRequest, exception: Exception) -> HttpResponse:
    """A name that is not this machine's, or more than a form can hold."""
    if isinstance(exception, RequestDataTooBig):
        said = _("What was typed or pasted is larger than %(size)d MB. Send it in parts, or as a file. Nothing was stored.") % {
            "size": settings.DATA_UPLOAD_MAX_MEMORY_SIZE >> 20}
    elif isinstance(exception, TooManyFieldsSent):
        said = _("More than %(count)d fields were sent at once. Send them in parts. Nothing was stored.") % {
            "count": settings.DATA_UPLOAD_MAX_NUMBER_FIELDS}
    elif isinstance(exception, TooManyFilesSent):
        said = _("More than %(count)d files were sent at once. Send them in parts. Nothing was stored.") % {
            "count": settings.DATA_UPLOAD_MAX_NUMBER_FILES}
    else:
        return render(request, "400.html", status=400)
    return render(request, "refused.html", {"reason": said}, status=400)


def not_allowed(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Something that this visitor may not do."""
    reason = exception.args[0] if exception.args and isinstance(exception.args[0], str) else _("You may not do this here.")
    return render(request, "refused.html", {"reason": reason}, status=403)


def nothing_here(request: HttpRequest, exception: Exception) -> HttpResponse:
    """An address at which there is nothing; it says why where a view gave a sentence."""
    reason = exception.args[0] if exception.args and isinstance(exception.args[0], str) else ""
    return render(request, "404.html", {"reason": reason}, status=404)
