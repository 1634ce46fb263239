"""Seal the plan before the start, and stamp the data: whatever is changed afterwards is told beside the finding.

Writes seal.json with the judged parts of trial.toml (design, arms, tanks, measures, looks), their digest, the time, and whether there was
data already; and prints a short code to show in a video. A plan that was changed since is sealed again only with --reason. With --data, and
wherever there is data when a plan is sealed, all tables, photos and settings are stamped too, so that fairtank verify can name every row
that is changed later. With --sign seal and stamp carry the signature of a key that --make-key makes.

Example: fairtank seal my-trial
"""

import sys
from pathlib import Path

import click

from fairtank.cli.next_step import next_told
from fairtank.cli.options import json_option
from fairtank.publish.seal_words import change_words, code_sentence, data_words, time_words
from fairtank.publish.verify_words import files_words, stamped_words, table_words
from fairtank.records.folder.seal_signature import code_of_key, is_open_to_others, key_make
from fairtank.records.services.sealing import SealedTrial, sealed_json, trial_seal


@click.command("seal", help=__doc__)
@click.argument("folder", type=click.Path(path_type=Path), required=False)
@click.option("--reason", help="Why a sealed plan, or data that were stamped, were changed; what was before is kept, and both are told.")
@click.option("--data", "with_data", is_flag=True, help="Stamp all tables, photos and settings too: once a week, and at the end.")
@click.option("--sign", "key_file", type=click.Path(path_type=Path), metavar="KEYFILE", help="Sign with this key.")
@click.option("--make-key", "new_key", type=click.Path(path_type=Path), metavar="KEYFILE",
              help="Make a key, in a new file outside every trial folder, and seal nothing.")
@json_option
def command(folder: Path | None, reason: str | None, with_data: bool, key_file: Path | None, new_key: Path | None, as_json: bool) -> None:
    """Twin of `fairtank.records.services.sealing.trial_seal`."""
    if new_key is not None:
        if folder is not None or key_file is not None or with_data or reason or as_json:
            raise click.UsageError("--make-key stands alone: it makes a key and seals nothing.")
        key_tell(new_key)
        return
    if folder is None:
        raise click.UsageError("Missing argument 'FOLDER': the trial folder to seal.")
    sealed = trial_seal(root=folder, reason=reason, key_file=key_file, with_data=with_data)
    if key_file is not None and is_open_to_others(key_file):
        click.echo(f"Other people of this computer may read {key_file}, and whoever has it can sign in your name: chmod 600 {key_file}",
                   err=True)
    if as_json:
        sys.stdout.write(sealed_json(sealed))
        return
    for line in [*said(sealed, is_signing=key_file is not None), *next_told(folder, "seal")]:
        click.echo(line)


def key_tell(place: Path) -> None:
    """Make a key, and say what its code is for."""
    code = key_make(place)
    click.echo(f"A new key lies in {place}. Keep it to yourself, for who has it can sign in your name; and keep a copy: nobody can make "
               "it again.")
    click.echo(f"The code of the key is {code}. Tell it to those who shall check your seals: fairtank verify my-trial --key {code}")


def said(sealed: SealedTrial, *, is_signing: bool = False) -> list[str]:
    """What was done, whether there was data, the code, and what follows from a change."""
    one, when = sealed.sealing, time_words(sealed.sealing.at)
    if sealed.done == "unchanged":
        told = [f"Sealed already, on {when}, and not changed since: nothing was written.", code_sentence(one.code)]
        if sealed.stamp is not None:
            told = [f"The plan is sealed already, on {when}, and was not changed since. Its code is {one.code}."]
        elif is_signing and not one.key:
            told.append("That seal is not signed, and cannot be afterwards: with --data too, the stamp is signed, which covers the seal.")
        return [*told, *_stamp_said(sealed)]
    opening = f"The plan is sealed, {when}" if sealed.done == "sealed" else f"The change is sealed, {when}, beside the first seal of " \
                                                                           f"{time_words(sealed.first.at)}"
    told = [f"{opening}; {data_words(one)}."]
    told += [change_words(change, sealed.titles, has_data=one.has_data) for change in sealed.changes]
    if sealed.done == "amended" and one.has_data:
        told.append("As there was data already, the smallest differences that were sealed before it go on to count.")
    if sealed.done == "sealed" and one.has_data:
        told.append("The seal cannot show that the plan came before the data; the finding will say so.")
    if one.key:
        told.append(f"It is signed with the key {code_of_key(one.key)}.")
    return [*told, code_sentence(one.code), f"Seal: {sealed.place}", *_stamp_said(sealed)]


def _stamp_said(sealed: SealedTrial) -> list[str]:
    """What the stamp covers, what came since the one before, and where its list lies; nothing where none was asked for."""
    stamp = sealed.stamp
    if stamp is None:
        return []
    told = [*stamped_words(stamp, is_new=sealed.has_stamped), *map(table_words, sealed.tables), *files_words(sealed.files)]
    if stamp.key:
        told.append(f"The stamp is signed with the key {code_of_key(stamp.key)}.")
    return [*told, *sealed.uncovered, f"List of the rows: {sealed.place.parent / stamp.listing}"]
