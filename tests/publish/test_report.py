"""The report: whole in itself, the same words in HTML and PDF, what people wrote stays what they wrote."""

import html
import io
import itertools
import re
from dataclasses import replace
from datetime import datetime

import pytest
from invented_trials import dark_break, dark_break_report, finding, one_cover_glass, weights

from fairtank.finding import Settling, UnitSummary
from fairtank.publish.blocks import Bullets, Document, Figure, Heading, Pairs, Section, Table, Wall, Words
from fairtank.publish.document import document
from fairtank.publish.page import html_text
from fairtank.publish.pdf import missing_signs, pdf_bytes
from fairtank.publish.report import write_report
from fairtank.publish.sentences import sentence
from fairtank.trial import Event, TrialFolder

HOSTILE = '<script>alert("x")</script> #panic("boo") *bold* $x$ {{ 7 * 7 }} שלום مرحبا'


def pdf_text(data: bytes) -> str:
    """Text of all pages with every run of white space as one blank."""
    from pypdf import PdfReader

    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages).split())


def page_text(page: str) -> str:
    """Text of an HTML page without style, tags and entities."""
    bare = re.sub(r"<style>.*?</style>|<[^>]+>", " ", page, flags=re.DOTALL)
    return " ".join(html.unescape(bare).replace("\u00a0", " ").split())


@pytest.fixture(scope="module")
def full(tmp_path_factory):
    return dark_break_report(tmp_path_factory)


def test_html_loads_nothing_and_runs_nothing(full):
    page = full[1].html.read_text(encoding="utf-8")
    assert "<script" not in page
    assert not re.search(r"\son[a-z]+=", re.sub(r'base64,[^"]+', "", page))
    loaded = re.findall(r'(?:src|href)="([^"]+)"', page) + re.findall(r"url\(([^)]+)\)", page)
    assert loaded
    assert all(address.strip("\"'").startswith(("data:", "#")) for address in loaded)
    assert "default-src 'none'" in page
    assert " style=" not in re.sub(r'base64,[^"]+', "", page)


def test_html_has_language_title_landmarks_and_headings_in_order(full):
    page = full[1].html.read_text(encoding="utf-8")
    assert '<html lang="en">' in page
    assert "<title>A dark break at midday</title>" in page
    for landmark in ("<header>", "<main", "<nav", "<footer>"):
        assert page.count(landmark) == 1
    levels = [int(level) for level in re.findall(r"<h([1-6])", page)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after - before <= 1 for before, after in itertools.pairwise(levels))
    assert page.count("<caption") == len(re.findall("<table[ >]", page))
    assert len(re.findall(r'<img [^>]*alt="[^"]+"', page)) == page.count("<img ") == 12


def test_the_sentence_comes_before_everything_and_is_the_same_in_both(full):
    content, files = full
    said = sentence(content.findings[0]).replace("\u00a0", " ")
    page, paper = page_text(files.html.read_text(encoding="utf-8")), pdf_text(files.pdf.read_bytes())
    assert said in page
    assert page.index(said) < page.index("The picture")
    assert said in paper
    assert paper.index(said) < paper.index("The picture")


def test_a_measure_without_a_p_alone_has_none_after_holm_either(full):
    content = full[0]
    findings = tuple(replace(finding, p_value=None) if finding.measure == "plant_cover" else finding for finding in content.findings)
    (section,) = (one for one in document(replace(content, findings=findings)).sections if one.title.startswith("Secondary"))
    (table,) = (block for block in section.blocks if isinstance(block, Table) and "p after Holm" in block.head)
    assert [row[3:] for row in table.rows if row[0] == "Plant cover"] == [("none", "none")]
    assert "One without a p is counted among them" in section.blocks[0].text


def test_html_and_pdf_have_the_same_parts_in_the_same_order(full):
    content, files = full
    page, paper = page_text(files.html.read_text(encoding="utf-8")), pdf_text(files.pdf.read_bytes())
    titles = [section.title for section in document(content).sections]
    assert titles == ["The picture", "In brief", "The photos", "Question, plan and seal", "Tanks and draw", "Planned and weighed",
                      "What was done", "Deviations and amendments", "The numbers", "Secondary measures, one at a time",
                      "Other ways of analysing", "Losses and side effects", "What this trial cannot show", "Cautions",
                      "What was not recorded", "How it was computed", "Who paid or supplied what", "Sources", "Reporting checklist"]
    for text, start in ((page, page.index("The picture", page.index("Reporting checklist"))), (paper, 0)):
        places = []
        for title in titles:
            start = text.index(title, start)
            places.append(start)
        assert places == sorted(places)


def test_pdf_is_tagged_titled_and_says_that_it_is_ua_1(full):
    from pypdf import PdfReader

    data = full[1].pdf.read_bytes()
    reader = PdfReader(io.BytesIO(data))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"].startswith("en")
    assert "/StructTreeRoot" in root
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert reader.metadata.title == "A dark break at midday"
    assert re.search(rb"<pdfuaid:part>\s*1\s*</pdfuaid:part>", root["/Metadata"].get_data())


def test_pdf_has_the_same_bytes_every_time():
    content = one_cover_glass()
    assert pdf_bytes(document(content)) == pdf_bytes(document(content))


def test_html_has_the_same_text_every_time():
    content = one_cover_glass()
    assert html_text(document(content)) == html_text(document(content))


def test_all_that_happened_and_all_that_is_missing_is_told(full):
    text = page_text(full[1].html.read_text(encoding="utf-8"))
    for words in ("The clamp had slipped", "these days left out", "220 photos were measured; 4 could not be used and 6 are doubtful",
                  "photos/T1-09.jpg",
                  "No reason was given why the change should do anything", "photos.csv mood", "sha256:" + "cd" * 32, "fairtank 0.1.0",
                  "nitrate", "baked clay 2-3 mm [kg]"):
        assert words in text, words


def test_a_report_without_photos_is_whole(tmp_path):
    files = write_report(weights(), tmp_path)
    page = files.html.read_text(encoding="utf-8")
    assert "<img" not in page
    assert "Strip wall" not in page
    assert page.count('role="img"') == 6
    assert "7.0 g more than under the sand" in page_text(page)
    assert "7.0 g more than under the sand" in pdf_text(files.pdf.read_bytes())


def test_pictures_may_be_handed_over_beside_the_content(tmp_path):
    content = dark_break()
    files = write_report(replace(content, pictures=()), tmp_path, pictures=content.pictures[:1])
    assert files.html.read_text(encoding="utf-8").count("<img ") == 2


def hostile(content):
    plan = replace(content.folder.plan, title=HOSTILE, question=HOSTILE, keeper=HOSTILE, change=HOSTILE,
                   arms=tuple(replace(arm, name=HOSTILE) for arm in content.folder.plan.arms))
    noon = datetime(2026, 3, 2, 12)
    events = (Event((), noon, None, 1, 1, HOSTILE, HOSTILE),)
    folder: TrialFolder = replace(content.folder, plan=plan, events=events, unknown_columns=((HOSTILE, HOSTILE),))
    return replace(content, folder=folder, findings=tuple(replace(one, title=HOSTILE, changed_label=HOSTILE, cautions=(HOSTILE,))
                                                          for one in content.findings))


def test_hostile_text_comes_out_literally_in_html(tmp_path):
    files = write_report(hostile(one_cover_glass()), tmp_path)
    page = files.html.read_text(encoding="utf-8")
    assert "<script" not in page
    assert "49" not in re.findall(r"<title>(.*?)</title>", page)[0]
    assert page_text(page).count(HOSTILE) >= 8


def test_hostile_text_comes_out_literally_in_pdf(tmp_path):
    files = write_report(hostile(one_cover_glass()), tmp_path)
    from pypdf import PdfReader

    title = PdfReader(io.BytesIO(files.pdf.read_bytes())).metadata.title
    assert title == HOSTILE
    text = pdf_text(files.pdf.read_bytes())
    assert '<script>alert("x")</script> #panic("boo") *bold* $x$ {{ 7 * 7 }}' in text


def test_signs_no_typeface_has_are_named_on_paper_and_kept_on_the_page(tmp_path):
    content = one_cover_glass()
    plan = replace(content.folder.plan, title="Fish 🐠 and 水\x07")
    files = write_report(replace(content, folder=replace(content.folder, plan=plan)), tmp_path)
    assert "Fish 🐠 and 水\ufffd" in files.html.read_text(encoding="utf-8")
    text = pdf_text(files.pdf.read_bytes())
    assert "Fish [tropical fish] and [cjk unified ideograph-6c34]" in text
    assert "given by their name in square brackets" in text


def test_a_unit_with_a_name_no_typeface_has_is_charted_and_named(tmp_path):
    content = one_cover_glass()
    units = (replace(content.folder.plan.units[0], key="🐟"), content.folder.plan.units[1])
    found = content.findings[0]
    summaries = (replace(found.units[0], unit="🐟"), found.units[1])
    series = (replace(content.series[0], unit="🐟"), content.series[1])
    folder = replace(content.folder, plan=replace(content.folder.plan, units=units))
    files = write_report(replace(content, folder=folder, findings=(replace(found, units=summaries),), series=series), tmp_path)
    assert "[fish] R, bare" in pdf_text(files.pdf.read_bytes())
    assert files.html.read_text(encoding="utf-8").count("🐟") > 4


def test_signs_that_can_be_set_are_not_named():
    assert missing_signs(["Größe 12 °C ± − μS/cm × “q” … שלום مرحبا Привет"]) == set()
    assert missing_signs(["\U000118a0\u2fff"]) == {"\U000118a0", "\u2fff"}


def test_a_title_of_2000_letters_is_kept_whole(tmp_path):
    content = one_cover_glass()
    title = "algae" * 400
    files = write_report(replace(content, folder=replace(content.folder, plan=replace(content.folder.plan, title=title))), tmp_path)
    assert title in files.html.read_text(encoding="utf-8")
    assert title in pdf_text(files.pdf.read_bytes()).replace("\u200b", "").replace(" ", "")


@pytest.mark.parametrize("given", [
    {"grade": "spoilt", "estimate": None, "low": None, "high": None, "natural": None, "p_value": None, "df": None},
    {"grade": "open", "summary": "threshold", "estimate": None, "low": None, "high": None, "natural": None},
    {"grade": "differs", "basis": "earlier tanks only", "n_reference": 1, "n_changed": 1},
])
def test_findings_without_units_or_numbers_still_make_a_report(given, tmp_path):
    content = replace(one_cover_glass(), findings=(finding(**given),), series=())
    files = write_report(content, tmp_path)
    assert sentence(content.findings[0]).replace("\u00a0", " ") in page_text(files.html.read_text(encoding="utf-8"))
    assert files.pdf.stat().st_size > 10_000


def test_a_trial_that_was_not_judged_says_so(tmp_path):
    files = write_report(replace(one_cover_glass(), findings=()), tmp_path)
    assert "Nothing was judged." in page_text(files.html.read_text(encoding="utf-8"))


def bullets(content, key) -> tuple[str, ...]:
    section = next(section for section in document(content).sections if section.key == key)
    return next(block.items for block in section.blocks if isinstance(block, Bullets))


def test_cautions_from_measuring_stand_at_the_head_of_the_cautions(tmp_path):
    strokes = "The strokes on <photos/T1-03.jpg> could not be used."
    content = replace(one_cover_glass(), cautions=(strokes, " ", strokes))
    assert bullets(content, "cautions")[0] == strokes
    assert sum(text == strokes for text in bullets(content, "cautions")) == 1
    files = write_report(content, tmp_path)
    page, paper = page_text(files.html.read_text(encoding="utf-8")), pdf_text(files.pdf.read_bytes())
    for text in (page, paper):
        section = text[text.index(strokes):]
        assert "The arms were not drawn by lot" in section[:section.index("What was not recorded")]


def test_tanks_without_scatter_are_not_said_to_lie_at_the_limit_beside_the_numbers():
    units = tuple(UnitSummary(f"T{place}", "RD"[place % 2], 3.0, 40, None, 3.0, 0) for place in range(1, 7))
    constant = finding(low=None, high=None, natural=None, tags=("at the limit of the scale",), units=units)
    content = replace(dark_break(with_photos=False), findings=(constant,))
    blocks = [block for section in document(content).sections for block in section.blocks]
    said = [item for block in blocks if isinstance(block, Bullets) for item in block.items]
    assert any(text.startswith("The tanks of an arm show no scatter at all") for text in said)
    assert not any("lie at the limit of the scale, where differences" in text for text in said)


def test_the_table_of_units_names_the_one_day_on_which_they_were_read():
    content = weights()
    harvested = replace(content, findings=(replace(content.findings[0], reading_day=60),))
    heads = [block.head for section in document(harvested).sections for block in section.blocks if isinstance(block, Table)]
    assert any(head[2:3] == ("Day 60",) for head in heads)


def test_a_trial_of_one_day_draws_no_course(tmp_path):
    content = weights()
    one_day = tuple(replace(one, days=one.days[:1], values=one.values[:1]) for one in content.series)
    plan = replace(content.folder.plan, days=0)
    single = replace(content, series=one_day, folder=replace(content.folder, plan=plan))
    assert any("is not bridged" in figure_caption for figure_caption in captions(content))
    assert not any("is not bridged" in figure_caption for figure_caption in captions(single))
    assert "one day" in document(single).byline


def captions(content) -> list[str]:
    return [block.caption for section in document(content).sections for block in section.blocks if hasattr(block, "caption")]


def test_the_caption_of_a_change_says_why_the_intervals_middle_is_not_the_mean():
    content = dark_break(with_photos=False)
    one = replace(content.findings[0], summary="change")
    said = [text for text in captions(replace(content, findings=(one,))) if text.startswith("Each tank's mean over its run-in")]
    assert len(said) == 1
    assert said[0].endswith("Its middle is not the changed arm's mean: it says where that arm would stand had all tanks started alike, "
                            "while the mean still holds the head start that the run-in shows.")
    lone = replace(one, grade="alone", low=None, high=None)
    assert not any("Its middle" in text for text in captions(replace(content, findings=(lone,))))
    assert not any("Its middle" in text for text in captions(content))


def test_captions_of_curves_explain_hollow_marks_and_keys():
    said = next(text for text in captions(dark_break(with_photos=False)) if "cover over the days" in text)
    assert said == ("Algae cover over the days. A gap of more than 7 days is not bridged. Hollow marks off the line: days that an event "
                    "takes out of the analysis. Grey bars at the foot: events, listed under Deviations. A bar with a key concerns that "
                    "tank only.")
    assert "Hollow" not in next(text for text in captions(one_cover_glass()) if "cover over the days" in text)


def test_photos_from_outside_the_trial_stay_out_and_are_counted(full):
    content = full[0]
    plan = replace(content.folder.plan, days=30)
    shorter = replace(content, folder=replace(content.folder, plan=plan))
    assert all(photo.day <= 37 for photo in content.folder.photos)
    outside = sum(photo.day > 30 for photo in content.folder.photos)
    blocks = [block for section in document(shorter).sections for block in section.blocks]
    (pairs,) = [block for block in blocks if isinstance(block, Pairs)]
    assert {picture.caption for _, pictures in pairs.rows for picture in pictures} == {"day 0", "day 30"}
    (wall,) = [block for block in blocks if isinstance(block, Wall)]
    assert wall.screen[-1][1].startswith("Strip wall of days 28 to 30,")
    assert f"{outside} photos were taken before day 0 or after day 30: outside the trial, and not shown here." in [
        block.text for block in blocks if isinstance(block, Words)]
    assert "outside the trial" not in page_text(full[1].html.read_text(encoding="utf-8"))


def pages_of(lines: int, items: tuple[str, ...], foot: tuple[str, ...] = ("Foot.",)) -> list[str]:
    """Text of each page of a paper report in which so many lines stand before a last section with a list."""
    from pypdf import PdfReader

    before = Section("before", "Before", tuple(Words(f"Line {number}.") for number in range(lines)))
    report = Document("A report", "", ("A sentence.",), "", (before, Section("last", "Last section", (Bullets(items),))), foot)
    return [page.extract_text() for page in PdfReader(io.BytesIO(pdf_bytes(report))).pages]


# Two lines each on paper: two of them are the three lines and more that a heading keeps.
ITEMS = tuple(f"Item {number} " + "with words that go on " * 5 + "to its end." for number in range(5))


@pytest.mark.parametrize("lines", range(24, 44))
def test_a_heading_of_the_pdf_keeps_three_lines_of_its_list_and_the_foot_its_last_items(lines):
    pages = pages_of(lines, ITEMS)
    (page,) = [text for text in pages if "Last section" in text]
    assert page.count("Item ") >= 2
    assert "Item 4" in pages[-1]
    assert "Foot." in pages[-1]


def test_the_last_section_of_the_pdf_meets_the_foot_of_a_page_in_these_tests():
    assert any(sum("Item " in page for page in pages_of(lines, ITEMS)) > 1 for lines in range(24, 44))


def test_the_column_on_the_scale_says_which_scale():
    def heads(**given):
        content = dark_break(with_photos=False)
        one = replace(content.findings[0], **given)
        tables = [block for section in document(replace(content, findings=(one,))).sections for block in section.blocks
                  if isinstance(block, Table) and "number of each tank" in block.caption]
        return tables[0].head, tables[0].caption

    assert "On the scale (log-odds)" in heads()[0]
    assert heads()[1].endswith(". The scale on which tanks are compared is log-odds: ln(cover / (100 − cover))")
    assert "On the scale (natural log)" in heads(scale="log")[0]
    assert "Change (log-odds)" in heads(summary="change")[0]
    assert not any("scale" in head for head in heads(scale="identity")[0])
    assert "Rise (g per day)" in heads(scale="identity", summary="slope", unit_of_measure="g")[0]


def test_the_strip_wall_says_what_it_is(full):
    assert "Strip wall: every photographed day of every tank, side by side" in page_text(full[1].html.read_text(encoding="utf-8"))


def blocks_of(content, key):
    return [block for section in document(content).sections if section.key == key for block in section.blocks]


def test_what_would_settle_it_has_a_section_before_how_it_was_computed():
    content = one_cover_glass()
    alone = replace(content.findings[0], settling=Settling("difference", 0.5, "tank", 1, spread_for_three=0.16))
    content = replace(content, findings=(alone,))
    titles = [section.title for section in document(content).sections]
    assert titles[titles.index("What would settle it") + 1] == "How it was computed"
    (words,) = blocks_of(content, "settle")
    assert words.text.startswith("Three tanks per arm would notice a difference as large as the margin")


def test_several_comparisons_of_a_measure_are_told_apart():
    content = one_cover_glass()
    first = replace(content.findings[0], comparisons=2, settling=Settling("difference", 0.5, "tank", 1, spread_for_three=0.16))
    second = replace(first, changed_label="two cover glasses more", settling=Settling("repeat", 0.5))
    content = replace(content, findings=(first, second))
    heads = [block.text for block in blocks_of(content, "settle") if isinstance(block, Heading)]
    assert heads == ["Algae cover: one cover glass more against the bare", "Algae cover: two cover glasses more against the bare"]
    assert len(document(content).sentences) == 2
    figures = [block.key for block in blocks_of(content, "picture") if isinstance(block, Figure)]
    assert figures == ["dots0", "curves0"]
    assert sum("number of each tank" in block.caption for block in blocks_of(content, "numbers") if isinstance(block, Table)) == 1
    assert sum("is not bridged" in block.caption for block in blocks_of(content, "picture") if hasattr(block, "caption")) == 1


def test_how_it_was_computed_begins_with_the_numbers_and_ends_with_what_must_hold():
    content = one_cover_glass()
    facts = (("mean_reference", -2.0), ("mean_changed", -2.4))
    lone = replace(content.findings[0], facts=facts, estimate=-0.4, reference_arm="R", changed_arm="C")
    told = blocks_of(replace(content, findings=(lone,)), "methods")
    assert isinstance(told[0], Words)
    assert told[0].text.startswith("Each tank gave one number")
    claimed = replace(lone, grade="open", basis="earlier tanks only", low=-1.2, high=0.4)
    texts = [getattr(block, "text", "") for block in blocks_of(replace(content, findings=(claimed,)), "methods")]
    assert "What must hold for this:" in texts
