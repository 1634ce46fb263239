"""Write the words for a video or an article: captions, chapters, description, outline, texts for pictures. Or check a text of yours.

Every claim in them is a sentence of the finding. With --check nothing is written: each place at which your text says more than the finding
carries is printed with the reason and what may be said instead; the exit code is then 1.

Example: fairtank words my-trial --check my-script.md
"""

import json
import sys
from dataclasses import asdict
from pathlib import Path

import click

from fairtank.cli.options import folder_argument, json_option, out_of, out_option, workers_option
from fairtank.cli.progress import progress_shown
from fairtank.publish.numbers import shown
from fairtank.publish.strength.check import Flag, told_once
from fairtank.records.services.trials import trial_judge
from fairtank.records.services.wording import file_text, text_flags, words_make


@click.command("words", help=__doc__)
@folder_argument
@out_option
@click.option("--kit-link", default="", help="The address at which others find the kit; it stands in the description.")
@click.option("--check", "text_file", type=click.Path(path_type=Path),
              help="A text of yours (.txt, .md, .srt or .vtt) to hold against the finding.")
@workers_option
@json_option
def command(folder: Path, out: Path | None, kit_link: str, text_file: Path | None, workers: int | None, as_json: bool) -> int:
    """Twin of `fairtank.records.services.wording.words_make` and `text_flags`."""
    text = file_text(text_file) if text_file is not None else ""
    place = out_of(folder, out)
    with progress_shown("Measuring") as move:
        judged = trial_judge(root=folder, out=None if text_file is not None and out is None else place, workers=workers, progress=move)
    if text_file is not None:
        flags = text_flags(findings=judged.findings, text=text, series=judged.series, ending=text_file.suffix)
        sys.stdout.write(json.dumps({"flags": [asdict(flag) for flag in flags]}, ensure_ascii=False, indent=1) + "\n" if as_json
                         else told(flags, text))
        return 1 if flags else 0
    files = words_make(judged=judged, out=place, kit_link=kit_link)
    if as_json:
        sys.stdout.write(json.dumps({"files": [str(one) for one in files.all]}, indent=1) + "\n")
        return 0
    for one in files.all:
        click.echo(f"Words: {one}")
    if files.timeline is None:
        click.echo("No captions and no chapters: there is no photo for a film.")
    elif files.film:
        click.echo(f"The times are those of {files.film}.")
    else:
        click.echo("The times are those of a film as fairtank film makes it; after a film of your own, run this again.")
    return 0


def told(flags: tuple[Flag, ...], text: str) -> str:
    """The flags in plain words, by line of the text."""
    if not flags:
        return "Nothing in this text says more than the finding carries, as far as this check reads.\n"
    lines = []
    for flag, instead in told_once(flags):
        line = text.count("\n", 0, flag.start) + 1
        lines += [f"Line {line}, “{shown(flag.words)}” in: {shown(flag.sentence)}", f"  {flag.reason}"]
        lines += [f"  May be said: {instead}"] if instead else []
        lines.append("")
    count = len(flags)
    return "\n".join([*lines, f"{count} {'place says' if count == 1 else 'places say'} more than the finding carries."]) + "\n"
