"""findings.json: the agreed keys, the same bytes, nothing that is not JSON."""

import json
import math
from dataclasses import replace

import pytest
from invented_trials import dark_break, finding, one_cover_glass
from judged_trials import found

from fairtank import __version__
from fairtank.finding import Natural
from fairtank.publish.findings_file import findings_document, findings_text

AGREED = ["measure", "role", "summary", "scale", "estimate", "low", "high", "level", "df", "p_value", "shuffle_p", "arrangements", "grade",
          "tags", "basis", "margin",
          "n", "tipping_spread", "units", "natural", "cautions", "sentence"]


def test_keys_stand_in_the_agreed_order():
    document = findings_document((finding(),), "sha256:00")
    assert list(document) == ["software", "inputs_digest", "findings"]
    assert document["software"] == f"fairtank {__version__}"
    assert list(document["findings"][0])[: len(AGREED)] == AGREED
    assert document["findings"][0]["n"] == {"reference": 3, "changed": 3}


def test_the_days_of_the_run_in_and_the_reading_day_are_kept():
    one = findings_document((finding(run_in=(0, 13), reading_day=42),), "sha256:00")["findings"][0]
    assert (one["run_in"], one["reading_day"]) == ([0, 13], 42)
    assert findings_document((finding(),), "sha256:00")["findings"][0]["reading_day"] is None


def test_units_and_natural_have_the_agreed_keys():
    document = findings_document(dark_break(with_photos=False).findings, "sha256:00")
    assert list(document["findings"][0]["units"][0])[:5] == ["unit", "arm", "z", "days", "spoilt"]
    assert list(document["findings"][0]["natural"]) == ["reference", "changed", "low", "high", "unit"]


def test_the_text_is_the_same_to_the_byte_and_survives_a_reader():
    content = dark_break(with_photos=False)
    first, second = (findings_text(content.findings, content.inputs_digest) for _ in range(2))
    assert first == second
    assert first.endswith("}\n")
    assert json.loads(first) == findings_document(content.findings, content.inputs_digest)


def test_the_last_bits_of_a_number_never_show():
    assert findings_text((finding(estimate=0.1 + 0.2),), "d") == findings_text((finding(estimate=0.3),), "d")
    assert json.loads(findings_text((finding(estimate=-0.0),), "d"))["findings"][0]["estimate"] == 0


@pytest.mark.as_it_was("rfc8259, section 6, recalled and not read: numbers that are not finite are not permitted, 2026-11-25")
def test_a_number_that_is_not_finite_becomes_null():
    text = findings_text((finding(p_value=math.nan, natural=Natural(12.0, 8.3, 0.0, math.inf, "%")),), "d")
    one = json.loads(text, parse_constant=lambda name: pytest.fail(f"{name} is not JSON"))["findings"][0]
    assert one["p_value"] is None
    assert one["natural"]["high"] is None


def test_sentences_and_cautions_use_ordinary_spaces():
    content = one_cover_glass()
    text = findings_text(content.findings, "d")
    assert "\u00a0" not in text
    assert "One tank each: the data alone cannot tell." in text


def test_a_finding_explains_itself():
    one = findings_document((found(n=(3, 3), margin=0.4, effect=-0.2),), "d")["findings"][0]
    assert one["grade"] == "open"
    assert one["how_computed"].startswith("Each tank gave one number")
    assert 3 <= len(one["assumptions"]) <= 5
    assert one["settle"].startswith("To notice a difference as large as the margin")
    assert one["settling"]["aim"] == "difference"
    assert (one["reference_arm"], one["changed_arm"], one["comparisons"]) == ("R", "C", 1)
    assert one["earlier"] is None
    assert one["looks"] == one["ranking"] == []


def test_signs_of_any_script_stay_as_they_are():
    assert "שלום <b>" in findings_text((replace(finding(), title="שלום <b>"),), "d")
