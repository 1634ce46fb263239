"""What a public page can take along of a trial: its film and its kit, where they were made."""

from fairtank.records.jobs.kit import KIT_FILE
from fairtank.records.models import Result, Trial
from fairtank.records.services.filming import FOLDER as FILM_FOLDER
from fairtank.records.services.working import out_of


def site_parts(trial: Trial) -> dict[str, str]:
    """Names of the files below `out_of(trial)`, under `film` and `kit`; empty where there is none.

    Parameters
    ----------
    trial : Trial

    Returns
    -------
    dict of str to str

    References
    ----------
    common_practice (keys from sources.py).
    """
    told = {row.kind: row.content for row in Result.objects.filter(trial=trial, kind__in=("film", "kit"))}
    film = told.get("film", {}).get("film", "")
    names = {"film": f"{FILM_FOLDER}/{film}" if film else "", "kit": KIT_FILE if "kit" in told else ""}
    return {part: name if name and (out_of(trial) / name).is_file() else "" for part, name in names.items()}
