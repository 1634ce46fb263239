"""The front page: question, verdict, where the report is, which tank had what, the photos and the files."""

from itertools import groupby

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from fairtank.web.contents import KIND_WORDS, RESULTS, files_in
from fairtank.web.places import results_folder, trial_folder
from fairtank.web.reading import command_start, run_command, trial_in, unit_rows, verdicts_in, wall_of
from fairtank.web.visitors import needs


@require_safe
@needs("export")
def front(request: HttpRequest) -> HttpResponse:
    """The one page that leads to everything else; without a trial folder it leads to the bench and says how to show a trial."""
    root, out = trial_folder(), results_folder()
    if root is None or out is None:
        return render(request, "folder/welcome.html", {"start": command_start()})
    files, results = files_in(root, without=out), files_in(out)
    trial = trial_in(root, files)
    by_kind = sorted(files.values(), key=lambda file: (list(KIND_WORDS).index(file.kind), file.name))
    return render(request, "folder/front.html", {
        "plan": trial.folder.plan if trial.folder else None,
        "name": root.name,
        "refusals": trial.refusals,
        "verdicts": verdicts_in(results),
        "results": [(results[name], words) for name, words in RESULTS.items() if name in results],
        "has_report": "report.html" in results,
        "command": run_command(root, out),
        "units": unit_rows(trial.folder) if trial.folder else (),
        "wall": wall_of(trial.folder, files) if trial.folder and trial.folder.photos else None,
        "kinds": [(KIND_WORDS[kind], list(group)) for kind, group in groupby(by_kind, key=lambda file: file.kind)],
    })
