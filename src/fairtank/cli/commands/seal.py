"""Seal the plan before the start: whatever is changed afterwards is told beside the finding.

Writes seal.json with the judged parts of trial.toml (design, arms, tanks, measures, looks), their digest, the time, and whether there was
data already; and prints a short code to show in a video. A plan that was changed since is sealed again only with --reason.

Example: fairtank seal my-trial
"""

import sys
from pathlib import Path

import click

from fairtank.cli.options import folder_argument, json_option
from fairtank.publish.seal_words import change_words, code_sentence, data_words, time_words
from fairtank.records.services.sealing import SealedTrial, sealed_json, trial_seal


@click.command("seal", help=__doc__)
@folder_argument
@click.option("--reason", help="Why a sealed plan was changed; the first seal is kept, and the finding tells both.")
@json_option
def command(folder: Path, reason: str | None, as_json: bool) -> None:
    """Twin of `fairtank.records.services.sealing.trial_seal`."""
    sealed = trial_seal(root=folder, reason=reason)
    if as_json:
        sys.stdout.write(sealed_json(sealed))
        return
    for line in said(sealed):
        click.echo(line)


def said(sealed: SealedTrial) -> list[str]:
    """What was done, whether there was data, the code, and what follows from a change."""
    one, when = sealed.sealing, time_words(sealed.sealing.at)
    if sealed.done == "unchanged":
        return [f"Sealed already, on {when}, and not changed since: nothing was written.", code_sentence(one.code)]
    opening = f"The plan is sealed, {when}" if sealed.done == "sealed" else f"The change is sealed, {when}, beside the first seal of " \
                                                                           f"{time_words(sealed.first.at)}"
    told = [f"{opening}; {data_words(one)}."]
    told += [change_words(change, sealed.titles) for change in sealed.changes]
    if sealed.done == "amended" and one.has_data:
        told.append("As there was data already, the smallest differences that were sealed before it go on to count.")
    if sealed.done == "sealed" and one.has_data:
        told.append("The seal cannot show that the plan came before the data; the finding will say so.")
    return [*told, code_sentence(one.code), f"Seal: {sealed.place}"]
