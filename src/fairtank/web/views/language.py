"""Another language for somebody who cannot open the settings: before a login, or with an account that may not change them."""

from django.http import HttpRequest, HttpResponse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from fairtank.web.going import See
from fairtank.web.language import is_language, keep_language
from fairtank.web.visitors import open_to_all


@open_to_all
@require_POST
def language(request: HttpRequest) -> HttpResponse:
    """Keep the language in this browser, and go back to the page from which it was chosen."""
    back, chosen = request.POST.get("back", ""), request.POST.get("language", "")
    answer = See(back if back.startswith("/") and url_has_allowed_host_and_scheme(back, allowed_hosts=None) else "/")
    if is_language(chosen):
        keep_language(answer, chosen)
    return answer
