"""What was not recorded: the honest list at the end of a report."""

from fairtank import registry
from fairtank.publish.audit_words import NOT_CHECKED
from fairtank.publish.content import ReportContent


def unrecorded(content: ReportContent) -> tuple[str, ...]:
    """What a reader might expect and will not find in this trial, as whole sentences.

    Parameters
    ----------
    content : ReportContent
        The trial and what was made of it.

    Returns
    -------
    tuple of str
        Empty when nothing is missing.

    Examples
    --------
    See `tests/publish/test_unrecorded.py`.
    """
    folder, plan = content.folder, content.folder.plan
    measured = any(not one.ready_made for one in content.series) and bool(folder.photos)
    said_already = any(NOT_CHECKED in finding.cautions for finding in content.findings)  # the same, among the cautions
    missing = [
        (not plan.question, "No question was written down."),
        (not plan.rationale, "No reason was given why the change should do anything."),
        (not plan.disclosure, "Nothing was said about interests or gifts: no disclosure was written down."),
        (not plan.change or not plan.reference, "The change and what it is compared with are not described in full."),
        (not plan.drawn, "The arms were not drawn by lot, or it was not recorded that they were."),
        (plan.drawn and plan.seed is None, "The seed of the draw was not recorded, so that it cannot be repeated."),
        (not plan.blinded, "Nobody was kept from knowing which tank had which arm, or it was not recorded."),
        (all(choice.margin is None for choice in plan.measures if choice.role == "primary"),
         "The smallest difference that matters was not fixed beforehand."),
        (folder.seal is None, "The plan was not sealed: that it was fixed before the data came cannot be shown."),
        (any(one.eyes is None for one in folder.carried), "The values were measured on photos that are not in this folder"
                               + (": those that are here are smaller ones." if folder.photos else "; they cannot be measured again.")),
        (any(one.eyes is not None for one in folder.carried),
         "People looked at photos that are not in this folder; nobody can look at them again."),
        (not folder.photos and bool(folder.series) and not folder.carried,
         "There are no photos: the values were handed over ready-made and cannot be measured again."),
        (not folder.photos and not folder.series, "There are no photos: nobody can look again at what was read off or scored."),
        (measured and any("cover" in one.measure or "area" in one.measure for one in content.series) and not folder.audit
         and not said_already,
         "No audit points were answered by a person: cover and area carry the measurer's own unknown bias. A change that "
         "alters how the photos look (light, colour of the water) can shift that bias in one arm only."),
        (measured and not content.qualities, "The quality of the photos was not assessed."),
        (not folder.build, "No build sheet was kept: that the tanks were set up alike is not documented."),
        (not folder.readings, "No water tests were recorded: that the water stayed alike is not documented."),
        (not folder.events, "No events were recorded; either nothing happened or nobody wrote it down."),
        (not any(unit.block or unit.position for unit in plan.units), "Where the tanks stood was not recorded."),
    ]
    chosen = {choice.key for choice in plan.measures} if measured else set()
    cautions = dict.fromkeys(entry.caution for entry in registry.entries("measure") if entry.key in chosen and entry.caution)
    return (*(text for applies, text in missing if applies), *cautions)
