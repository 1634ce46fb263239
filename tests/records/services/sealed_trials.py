"""Sealing, stamping and verifying a trial at given times, and ways to change it afterwards."""

import json
from datetime import UTC, datetime

from fairtank.publish.verify_words import verified_words
from fairtank.records.folder.seal import document_text
from fairtank.records.services.sealing import trial_seal
from fairtank.records.services.verifying import trial_verify

MARCH, APRIL, MAY, JUNE = (datetime(2026, month, 1, 18, 30, tzinfo=UTC) for month in (3, 4, 5, 6))
READINGS = """unit,taken_at,quantity,value,unit_of_measure,method,below_detection
R1,2026-03-02T18:00,no3,12,mg/L,drops,
R2,2026-03-02T18:05,no3,11.5,mg/L,drops,
C1,2026-03-02T18:10,no3,10,mg/L,"drops, new",
C2,2026-03-09T18:10,no3,8,mg/L,drops,true
"""


def seal(root, at=MARCH, reason=None, key=None):
    return trial_seal(root=root, reason=reason, key_file=key, now=lambda: at)


def stamp(root, at=APRIL, reason=None, key=None):
    return trial_seal(root=root, reason=reason, key_file=key, with_data=True, now=lambda: at)


def verify(root, key=""):
    return trial_verify(root=root, key=key).verified


def told(root, key=""):
    return "\n".join(verified_words(verify(root, key)))


def edit(root, file, old, new):
    text = (root / file).read_text(encoding="utf-8")
    assert text.count(old) == 1, (old, text)
    (root / file).write_text(text.replace(old, new), encoding="utf-8")


def spoil(root, how):
    document = json.loads((root / "seal.json").read_text(encoding="utf-8"))
    how(document)
    (root / "seal.json").write_text(document_text(document), encoding="utf-8")
