"""What goes into the glass: the build sheet, the setup by lines and as a text, and what was weighed in."""

import re
from collections import Counter
from datetime import date
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from fairtank.errors import FairtankError, FolderError, InputError
from fairtank.publish.shopping_pages import shopping_sentence
from fairtank.publish.side_effect_words import side_effect_text
from fairtank.records.folder.seal import SEAL_FILE
from fairtank.records.folder.setup_toml import SETUP_HEADS
from fairtank.records.models import Document, Trial
from fairtank.records.selectors.build import Built, alike_of, build_file, built_of, is_weighable, unequal, weighings
from fairtank.records.selectors.materials import materials_of
from fairtank.records.selectors.tanks import tanks_of
from fairtank.records.selectors.trial_way import next_after_build
from fairtank.records.services.materials import table_of_material
from fairtank.records.services.setup_lines import LineRefused, Table
from fairtank.records.services.shelf_setup import ONCE, SetUp, keys_of, line_remove, line_store, set_up, setup_text_store, tanks_choose
from fairtank.records.services.weighing import Entry, weigh_in
from fairtank.science.cautions import CAUTIONS, LAST_WORD
from fairtank.web.amounts import amount_typed, chosen
from fairtank.web.build_words import apart_words, off_words
from fairtank.web.going import told
from fairtank.web.house import address
from fairtank.web.said import refusal_lines, refusal_told
from fairtank.web.setup_fields import LINES, asked_of, material_fields, table_typed, unplaced
from fairtank.web.setup_lines_shown import FIXED, HEAD_TITLES, line_words, names_of, options_of
from fairtank.web.spoken import all_spoken
from fairtank.web.views.planned import arms_wanted
from fairtank.web.visitors import needs, trial_for, trial_page, visitor

FILES = {"build-sheets.pdf": "application/pdf", "shopping.pdf": "application/pdf", "shopping.csv": "text/csv; charset=utf-8",
         "build.csv": "text/csv; charset=utf-8"}


@require_safe
@needs("look")
def build(request: HttpRequest, slug: str) -> HttpResponse:
    """The sheet: pictures, warnings, what goes in, what it weighs, what it costs."""
    trial = trial_for(request, slug)
    found = set_up(trial)
    built = built_of(found)
    sheet = built.sheet
    if sheet is None or built.shopping is None:
        return trial_page(request, "build/none.html", trial, "build", {
            "problems": [str(one) for one in found.problems], "refusal": built.refusal})
    if _tells_arms(found, built) and not arms_wanted(request):
        return trial_page(request, "build/hidden.html", trial, "build", {})
    weighed = _progress(trial, built)
    return trial_page(request, "build/build.html", trial, "build", {
        "found": found, "sheet": sheet, "shopping": built.shopping, "costs": shopping_sentence(built.shopping), "weighed": weighed,
        "has_light": any(one.daily_light_mol_m2 is not None for one in sheet.units), **_next(trial, found),
        "groups": [(one, mark_safe(one.picture.svg)) for one in alike_of(built, with_us=chosen().measures == "us")],
        "effects": side_effect_text(built.effects) if built.effects else (), "last_word": LAST_WORD,
        "cautions": [CAUTIONS[key] for key in sheet.caution_keys], "files": list(FILES)})


def _next(trial: Trial, found: SetUp) -> dict[str, Any]:
    """What comes next, up to the first day."""
    if found.plan is None or found.plan.start <= date.today():
        return {}
    step = next_after_build(is_drawn=found.plan.drawn, is_sealed=Document.objects.filter(trial=trial, path=SEAL_FILE).exists())
    return {"next": step, "next_address": address(step.route, trial.slug)}


def _tells_arms(found: SetUp, built: Built) -> bool:
    """Whether the build shows which units have which arm, although photos are to be scored blind."""
    return found.plan is not None and found.plan.blinded and found.plan.drawn and len(alike_of(built)) > 1


def _progress(trial: Trial, built: Built) -> tuple[int, int]:
    """How many lines were weighed, of how many."""
    try:
        lines = [one for one in weighings(trial, built) if is_weighable(one)] if trial.planned else []
    except FolderError:
        return 0, 0
    return sum(one.weighed is not None for one in lines), len(lines)


# the setup -----------------------------------------------------------------------------------------------------------


@require_safe
@needs("manage")
def setup(request: HttpRequest, slug: str) -> HttpResponse:
    """Everything that is described, section by section."""
    trial = trial_for(request, slug)
    found = set_up(trial)
    names = names_of(found)
    sections = [(head, HEAD_TITLES[head], [(number, line_words(head, table, names))
                                           for number, table in enumerate(found.lines(head), start=1)]) for head in SETUP_HEADS]
    return trial_page(request, "build/setup.html", trial, "build", {
        "found": found, "sections": sections, "problems": [str(one) for one in found.problems], "once": ONCE})


@require_http_methods(["GET", "HEAD", "POST"])
@needs("manage")
def tanks(request: HttpRequest, slug: str) -> HttpResponse:
    """Which tank of the shelf each tank of the plan is."""
    trial = trial_for(request, slug)
    found, own, refused = set_up(trial), {str(row.pk): row for row in tanks_of(visitor(request).by.user)}, dict[str, str]()
    if request.method == "POST":
        chosen = {key: own[value] for key in _tank_keys(found) if (value := request.POST.get(f"tank-{key}", "")) in own}
        try:
            tanks_choose(trial=trial, by=visitor(request).by, chosen=chosen, mark=request.POST.get("mark", ""),
                         reason=request.POST.get("reason", ""))
            return told(request, _("The tanks are in the setup."), "build_setup", trial.slug)
        except LineRefused as error:
            refused = all_spoken(error.sentences)
        except FairtankError as error:
            refused = {"": " ".join(refusal_lines(error))}
    there = {key for table in found.lines("tank") for key in keys_of(table)}
    return trial_page(request, "build/tanks.html", trial, "build", {
        "found": found, "own": own.items(), "general": " ".join(said for key, said in refused.items() if key not in _tank_keys(found)),
        "wanted": [(key, key in there, request.POST.get(f"tank-{key}", ""), refused.get(key, "")) for key in _tank_keys(found)]},
        status=422 if refused else 200)


def _tank_keys(found: SetUp) -> tuple[str, ...]:
    return found.tank_keys


@require_http_methods(["GET", "HEAD", "POST"])
@needs("manage")
def line(request: HttpRequest, slug: str, head: str, number: int) -> HttpResponse:
    """One line of the setup: changed, or (number 0) added."""
    trial = trial_for(request, slug)
    found = set_up(trial)
    if head not in SETUP_HEADS or (number > len(found.lines(head)) and request.method != "POST"):
        raise Http404(_("There is no such line in the setup."))
    before: Table = found.lines(head)[number - 1] if 0 < number <= len(found.lines(head)) else {}
    if request.method != "POST":
        return _line_page(request, found, head, number, before)
    kind = request.POST.get("kind", before.get("kind", "")) if head == "material" else ""
    table = {**table_typed(_fields(head, kind), request.POST, before), **({"kind": kind} if kind else {})}
    own = {row.key: table_of_material(row) for row in materials_of(visitor(request).by.user)}
    try:
        line_store(trial=trial, by=visitor(request).by, head=head, number=number, table=table, mark=request.POST.get("mark", ""),
                   reason=request.POST.get("reason", ""), materials=own)
    except LineRefused as error:
        return _line_page(request, found, head, number, table, all_spoken(error.sentences))
    except FairtankError as error:
        return _line_page(request, found, head, number, table, {"": " ".join(refusal_lines(error))})
    return told(request, _("The setup was changed."), "build_setup", trial.slug)


def _fields(head: str, kind: str) -> tuple[Any, ...]:
    return material_fields(kind) if head == "material" else LINES[head]


def _line_page(request: HttpRequest, found: SetUp, head: str, number: int, table: Table,
               refused: dict[str, str] | None = None) -> HttpResponse:
    kind = request.POST.get("kind", table.get("kind", request.GET.get("kind", ""))) if head == "material" else ""
    fields = tuple(field for field in _fields(head, kind) if not (head == "tank" and "keys" in table and field.name == "key"))
    options = options_of(fields, found, list(materials_of(visitor(request).by.user)))
    sent = request.POST if refused is not None else None
    refused = {name: _in_labels(said, fields) for name, said in (refused or {}).items()}
    return trial_page(request, "build/line.html", found.trial, "build", {
        "found": found, "head": head, "number": number, "title": HEAD_TITLES[head], "kind": kind, "reason": request.POST.get("reason", ""),
        "keys": table.get("keys", []), "is_fixed": head in FIXED, "words": line_words(head, table, names_of(found)) if table else "",
        "fields": asked_of(fields, table, sent=sent, refused=refused, options=options), "general": unplaced(fields, refused),
    }, status=422 if refused else 200)


def _in_labels(sentence: str, fields: tuple[Any, ...]) -> str:
    """A sentence that names fields as they stand in setup.toml, with their labels on the page in place of these names."""
    for field in fields:
        if "_" in field.name:
            sentence = re.sub(rf"\b{field.name}\b", f"“{field.label}”", sentence, flags=re.IGNORECASE)
    return sentence


@require_POST
@needs("manage")
def take_out(request: HttpRequest, slug: str, head: str, number: int) -> HttpResponse:
    """Take a line out of the setup."""
    trial = trial_for(request, slug)
    if head not in SETUP_HEADS or head in FIXED or number < 1:
        raise Http404(_("There is no such line in the setup."))
    try:
        line_remove(trial=trial, by=visitor(request).by, head=head, number=number, mark=request.POST.get("mark", ""),
                    reason=request.POST.get("reason", ""))
    except FairtankError as error:
        found = set_up(trial)
        lines = found.lines(head)
        table = lines[number - 1] if number <= len(lines) else {}
        return _line_page(request, found, head, number, table, {"": " ".join(refusal_lines(error))})
    return told(request, _("The line was taken out."), "build_setup", trial.slug)


@require_http_methods(["GET", "HEAD", "POST"])
@needs("manage")
def text(request: HttpRequest, slug: str) -> HttpResponse:
    """The setup as a text, with every problem listed; what was typed stays."""
    trial = trial_for(request, slug)
    found, refusals = set_up(trial), list[str]()
    if request.method == "POST":
        try:
            setup_text_store(trial=trial, by=visitor(request).by, text=request.POST.get("text", ""), reason=request.POST.get("reason", ""))
            return told(request, _("The setup was taken."), "build", trial.slug)
        except FolderError as error:
            refusals = [str(one) for one in error.problems]
        except FairtankError as error:
            refusals = refusal_lines(error)
    else:
        refusals = [str(one) for one in found.problems]
    return trial_page(request, "build/text.html", trial, "build", {
        "found": found, "typed": request.POST.get("text", found.text), "refusals": refusals, "reason": request.POST.get("reason", "")},
        status=422 if refusals and request.method == "POST" else 200)


# weighing in ---------------------------------------------------------------------------------------------------------


@require_safe
@needs("record")
def weigh(request: HttpRequest, slug: str) -> HttpResponse:
    """The units, how far each is, and what is unequal."""
    trial = trial_for(request, slug)
    built = built_of(set_up(trial))
    if built.refusal:
        return trial_page(request, "build/none.html", trial, "build", {"refusal": built.refusal})
    try:
        found = [one for one in weighings(trial, built) if is_weighable(one)] if trial.planned else []
    except FolderError as error:
        return trial_page(request, "build/none.html", trial, "build", {"problems": refusal_lines(error)})
    done = Counter(one.line.unit for one in found if one.weighed is not None)
    units = [(unit, done[unit], count) for unit, count in Counter(one.line.unit for one in found).items()]
    return trial_page(request, "build/weigh.html", trial, "build", {
        "units": units, "done": sum(done.values()), "count": len(found), "apart": [apart_words(one) for one in unequal(found)]})


@require_http_methods(["GET", "HEAD", "POST"])
@needs("record")
def weigh_unit(request: HttpRequest, slug: str, unit: str) -> HttpResponse:
    """One unit at the scale: its lines, each with a field."""
    trial = trial_for(request, slug)
    built = built_of(set_up(trial))
    if not trial.planned or not trial.units.filter(key=unit).exists():
        raise Http404(_("There is no such tank in the trial."))
    if built.refusal:
        return trial_page(request, "build/none.html", trial, "build", {"refusal": built.refusal})
    try:
        if request.method != "POST":
            return _unit_page(request, trial, built, unit)
        entries, refused = _entries(request, trial, built, unit)
        if refused:
            raise LineRefused(refused)
        count = weigh_in(trial=trial, by=visitor(request).by, unit=unit, built=built, entries=entries)
    except LineRefused as error:
        return _unit_page(request, trial, built, unit, all_spoken(error.sentences))
    except FolderError as error:
        return trial_page(request, "build/none.html", trial, "build", {"problems": refusal_lines(error)})
    kept = ngettext("%(unit)s: %(count)d entry kept.", "%(unit)s: %(count)d entries kept.", count)
    said = kept if count else _("%(unit)s: nothing was new; all of it stands already.")
    return told(request, said % {"unit": unit, "count": count}, "build_weigh_unit", trial.slug, unit)


def _entries(request: HttpRequest, trial: Trial, built: Built, unit: str) -> tuple[dict[str, Entry], dict[str, str]]:
    """What the form says, by material; and what cannot be read."""
    lines = {one.line.material: one.line for one in weighings(trial, built) if one.line.unit == unit}
    entries, refused, sent, number = dict[str, Entry](), dict[str, str](), request.POST, 1
    while (name := sent.get(f"what-{number}")) is not None:
        scale = lines[name].unit_of_measure if name in lines else ""
        try:
            was = float(text) if (text := sent.get(f"was-{number}", "")) else None
            entries[name] = Entry(amount_typed(sent.get(f"weighed-{number}", ""), scale, was), sent.get(f"batch-{number}", "").strip(),
                                  sent.get(f"note-{number}", "").strip(), was)
        except InputError as error:
            refused[name] = refusal_told(error)
        except ValueError:
            refused[name] = _("Open the page again; this one was cut short.")
        number += 1
    return entries, refused


def _unit_page(request: HttpRequest, trial: Trial, built: Built, unit: str, refused: dict[str, str] | None = None) -> HttpResponse:
    found, told_wrong, sent = [one for one in weighings(trial, built) if is_weighable(one)], refused or {}, request.POST
    own = [one for one in found if one.line.unit == unit]
    rows = [(number, one, off_words(one), told_wrong.get(one.line.material, ""),
             sent.get(f"weighed-{number}") if refused else None, sent.get(f"batch-{number}", one.batch),
             sent.get(f"note-{number}", one.note))
            for number, one in enumerate(own, start=1)]
    keys = list(dict.fromkeys(one.line.unit for one in found))
    after = keys[keys.index(unit) + 1] if unit in keys[:-1] else ""
    return trial_page(request, "build/weigh_unit.html", trial, "build", {
        "unit": unit, "rows": rows, "done": sum(one.weighed is not None for one in own), "count": len(own), "after": after,
        "apart": [apart_words(one) for one in unequal(found) if unit in (one.least[0], one.most[0])]}, status=422 if refused else 200)


# files ---------------------------------------------------------------------------------------------------------------


@require_safe
@needs("export")
def file(request: HttpRequest, slug: str, name: str) -> HttpResponse:
    """One of the files of a build; setup.toml is given as it is."""
    trial = trial_for(request, slug)
    if name not in (*FILES, "setup.toml"):
        raise Http404(_("There is no such file."))
    found = set_up(trial)
    if _tells_arms(found, built_of(found)) and not visitor(request).may("manage"):
        return trial_page(request, "build/hidden.html", trial, "build", {}, status=403)
    try:
        content = found.text.encode() if name == "setup.toml" else build_file(trial, name)
    except FairtankError as error:
        return trial_page(request, "build/none.html", trial, "build", {"problems": refusal_lines(error)}, status=409)
    return HttpResponse(content, content_type=FILES.get(name, "text/plain; charset=utf-8"),
                        headers={"Content-Disposition": f'attachment; filename="{trial.slug}-{name}"'})
