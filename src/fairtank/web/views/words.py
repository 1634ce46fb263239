"""Words for a video or an article: the texts to copy, their files, and a text of the keeper's held against what was found."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from fairtank.errors import FairtankError
from fairtank.publish.strength.check import NOT_READ, Flag, told_once
from fairtank.publish.strength.kept import findings_from, series_from
from fairtank.publish.strength.marked import pieces_of
from fairtank.records.jobs.queue import enqueue
from fairtank.records.models import Trial
from fairtank.records.selectors.results import Answer, answer_of
from fairtank.records.services.wording import MOST_SIGNS, text_flags
from fairtank.web.going import see
from fairtank.web.said import refusal_lines, worked_out
from fairtank.web.security import SCRIPT_POLICY
from fairtank.web.views.finding import FORBIDDEN, download, finding_page, shown_to
from fairtank.web.views.planned import no_plan
from fairtank.web.visitors import needs, trial_for, trial_page, visitor

LONGEST_LINK = 300
TYPES = {".txt": "text/plain", ".md": "text/markdown", ".csv": "text/csv", ".srt": "application/x-subrip", ".vtt": "text/vtt"}
# In the order of the page: file, heading, what it is for.
TEXTS = (
    ("description.txt", gettext_lazy("Description"), gettext_lazy("To stand below a video or at the end of an article.")),
    ("outline.md", gettext_lazy("Outline of what is said"),
     gettext_lazy("What was asked, done and seen, how sure it is, and what is not known.")),
    ("chapters.txt", gettext_lazy("Chapter marks"), gettext_lazy("Times of the film, to be pasted into a description.")),
    ("captions.srt", gettext_lazy("Captions, SubRip"), gettext_lazy("For people who cannot hear or read the film itself.")),
    ("captions.vtt", gettext_lazy("Captions, WebVTT"), gettext_lazy("The same for web pages.")),
    ("alt-texts.csv", gettext_lazy("What the pictures show"), gettext_lazy("For people who do not see the charts and stills.")),
)


@require_safe
@needs("look")
def words(request: HttpRequest, slug: str) -> HttpResponse:
    """The page."""
    trial = trial_for(request, slug)
    return _page(request, trial) if trial.planned else no_plan(request, trial, "words")


@require_POST
@needs("record")
def ask(request: HttpRequest, slug: str) -> HttpResponse:
    """Have them put together behind the pages."""
    trial = trial_for(request, slug)
    if not trial.planned or not shown_to(request, trial).is_over:
        return _page(request, trial, status=FORBIDDEN) if trial.planned else no_plan(request, trial, "words")
    link = "".join(request.POST.get("kit_link", "").split())[:LONGEST_LINK]
    enqueue(kind="words", trial=trial, by=visitor(request).by, given={"kit_link": link} if link else {})
    return see("words", trial.slug)


@require_POST
@needs("look")
def check(request: HttpRequest, slug: str) -> HttpResponse:
    """A text of the visitor's held against the finding; it is not kept."""
    trial = trial_for(request, slug)
    answer = answer_of(trial, "words")
    if not trial.planned or not shown_to(request, trial).is_over or answer.result is None:
        return _page(request, trial, status=FORBIDDEN) if trial.planned else no_plan(request, trial, "words")
    text, kept = request.POST.get("text", "").replace("\r\n", "\n"), answer.result.content
    try:
        flags = text_flags(findings=findings_from(kept["findings"]), series=series_from(kept["series"]), text=text)
    except FairtankError as error:
        return _page(request, trial, refusals=refusal_lines(error), status=422)
    return _page(request, trial, told=_told(text, flags))


@require_safe
@needs("look")
def words_file(request: HttpRequest, slug: str, name: str) -> HttpResponse:
    """One of the texts as a file."""
    trial = trial_for(request, slug)
    shown = shown_to(request, trial)
    if not shown.is_over:
        return finding_page(request, trial, shown, status=FORBIDDEN)
    result = answer_of(trial, "words").result
    text = result.content["texts"].get(name) if result else None
    if text is None:
        raise Http404(_("There is no such text yet. The page “Words” has a button that puts them together."))
    return download(text.encode(), TYPES[f".{name.rpartition('.')[2]}"], f"{trial.slug}-{name}")


def _page(request: HttpRequest, trial: Trial, *, told: dict[str, Any] | None = None, refusals: list[str] | None = None,
          status: int = 200) -> HttpResponse:
    shown = shown_to(request, trial)
    answer = answer_of(trial, "words") if shown.is_over else Answer(None, False, None)
    content = answer.result.content if answer.result else {}
    texts = [(name, heading, what, content["texts"][name], min(content["texts"][name].count("\n") + 1, 14))
             for name, heading, what in TEXTS if name in content.get("texts", {})]
    page = trial_page(request, "words/words.html", trial, "words", {
        "shown": shown, "answer": answer, "texts": texts, "film": content.get("film", ""), "told": told, "refusals": refusals or [],
        "typed": request.POST.get("text", ""), "most": MOST_SIGNS, "not_read": NOT_READ, "longest_link": LONGEST_LINK,
        "link": content.get("given", {}).get("kit_link", ""),
    }, status=status)
    page.headers["Content-Security-Policy"] = SCRIPT_POLICY
    return page


def _told(text: str, flags: tuple[Flag, ...]) -> dict[str, Any]:
    """The text in pieces, and what is wrong with the marked ones."""
    return {"pieces": pieces_of(text, flags) if flags else (), "is_empty": not text.strip(),
            "flags": [(flag.words, worked_out(flag.reason), worked_out(instead)) for flag, instead in told_once(flags)]}
