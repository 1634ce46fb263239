"""The page of a folder tells the question, the verdict and where everything is, also when something is missing."""

import re
from html.parser import HTMLParser

import pytest
from django.conf import settings

from web.conftest import SENTENCE


class Outline(HTMLParser):
    """Headings, pictures, scripts and the links of the content of a page, and whether each opened tag was closed."""

    VOID = ("meta", "link", "img", "br", "input", "hr")

    def __init__(self, page):
        super().__init__()
        self.open, self.headings, self.links, self.pictures = [], [], [], []
        self.scripts = []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        if tag not in self.VOID:
            self.open.append(tag)
        if tag in {"h1", "h2", "h3"}:
            self.headings.append(tag)
        if tag == "a" and "main" in self.open:  # the links of the house at the top are on every page
            self.links.append(dict(attrs)["href"])
        if tag == "script":
            self.scripts.append(dict(attrs).get("src", ""))
        if tag == "img":
            self.pictures.append(dict(attrs))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag


def test_the_front_page_tells_title_question_and_verdict_first(pages):
    page = pages.get("/folder/").content.decode()
    assert "A dark break at midday (invented)" in page
    assert "keep algae off the &lt;glass&gt;?" in page
    assert page.index(SENTENCE) < page.index("plant cover"), "the primary measure comes first"
    assert "alert(1)</script>" not in page
    assert all(source.startswith(settings.STATIC_URL) for source in Outline(page).scripts), "no script but the files of the house"


def test_the_front_page_links_report_and_data_that_are_there(pages):
    links = Outline(pages.get("/folder/").content.decode()).links
    names = ("report.html", "report.pdf", "findings.json", "measures.csv", "photos_quality.csv")
    assert [f"/results/{name}" for name in names] == links[:5]
    assert "/folder/trial.toml" in links


def test_every_link_of_the_front_page_answers(pages, read):
    outline = Outline(pages.get("/folder/").content.decode())
    for address in [*outline.links, *(picture["src"] for picture in outline.pictures)]:
        if not address.startswith("#"):
            response = pages.get(address)
            assert response.status_code == 200, address
            read(response)


def test_the_page_is_well_formed_with_one_main_heading_and_named_pictures(pages):
    outline = Outline(pages.get("/folder/").content.decode())
    assert outline.open == []
    assert outline.headings.count("h1") == 1
    assert [picture["alt"] for picture in outline.pictures] == ["T1, day 1", "T1, day 8", "T2, day 1", "T2, day 8"]
    assert all(picture["loading"] == "lazy" for picture in outline.pictures)


def test_the_arms_are_told_by_letter_and_name_but_not_on_the_photos(pages):
    page = pages.get("/folder/").content.decode()
    wall = page[page.index('class="wall"'):page.index('id="units"')]
    assert "R no break (reference)" in page
    assert "C dark break (changed)" in page
    assert "break" not in wall


def test_the_photos_can_be_skipped(pages):
    page = pages.get("/folder/").content.decode()
    assert page.index('href="#units">Skip the photos') < page.index('class="wall"') < page.index('<h2 id="units">')


@pytest.mark.parametrize(("started_by", "command"), [("run.py", "python3 run.py run"), ("", "fairtank run"), ("<b>", "fairtank run")])
def test_what_to_run_is_told_as_it_was_started(pages, out, monkeypatch, started_by, command):
    monkeypatch.setenv("FAIRTANK_STARTED_BY", started_by)
    (out / "report.html").unlink()
    told = f"{command} {out.parent / 'trial'} --out {out}"
    assert f"<code>{told}</code>" in pages.get("/folder/").content.decode()
    assert f"To make it, run: {told}</p>" in pages.get("/results/report.html").content.decode()


@pytest.mark.parametrize("address", ["/nothing", "/folder/none.csv", "/results/none", "/thumbnails/trial.toml", "/static/none", "/a/b/"])
def test_an_address_at_which_there_is_nothing_says_so_on_a_page_like_the_others(pages, address):
    answer = pages.get(address)
    page = answer.content.decode()
    content = page[page.index("<main"):page.index("</main>")]
    assert answer.status_code == 404
    assert "<h1>There is nothing at this address</h1>" in content
    assert Outline(page).links == ["/"]
    assert f'<link rel="stylesheet" href="{settings.STATIC_URL}fairtank.css">' in page
    assert "404" not in content
    assert not re.search(r"[A-Z][a-z]+[A-Z0-9]\w*", content), "no name of a class"


def test_a_missing_report_says_what_to_run(pages, out, monkeypatch):
    monkeypatch.delenv("FAIRTANK_STARTED_BY", raising=False)
    (out / "report.html").unlink()
    page = pages.get("/folder/").content.decode()
    assert "There is no report yet" in page
    assert f"fairtank run {out.parent / 'trial'} --out {out}" in page
    answer = pages.get("/results/report.html")
    assert answer.status_code == 404
    assert "To make it, run: fairtank run" in answer.content.decode()


def test_without_any_results_the_page_still_stands(pages, out):
    for file in out.iterdir():
        file.unlink()
    out.rmdir()
    page = pages.get("/folder/").content.decode()
    assert "Nothing has been judged yet." in page
    assert "A dark break at midday" in page


def test_a_refused_folder_shows_every_sentence_and_its_files(pages, folder):
    (folder / "trial.toml").write_text('[trial]\ntitle = "<b>x"\n[design]\nkind = "roulette"\n', encoding="utf-8")
    answer = pages.get("/folder/")
    page = answer.content.decode()
    assert answer.status_code == 200
    assert "cannot be read as a trial yet" in page
    assert page.count("accepted:") >= 2
    assert "roulette" in page
    assert "<b>x" not in page
    assert "/folder/photos/T1-01.jpg" in page


def test_a_folder_that_is_not_there_is_said(pages, folder):
    from django.test import override_settings

    with override_settings(FAIRTANK_FOLDER=str(folder / "nowhere")):
        assert "There is no folder" in pages.get("/folder/").content.decode()


def test_a_changed_folder_is_read_again(pages, folder):
    pages.get("/folder/")
    plan = (folder / "trial.toml").read_text(encoding="utf-8")
    (folder / "trial.toml").write_text(plan.replace("A dark break", "Another break"), encoding="utf-8")
    assert "Another break at midday" in pages.get("/folder/").content.decode()


def test_findings_that_cannot_be_read_do_not_break_the_page(pages, out):
    for text in ("", "[1]", '{"findings": [{"measure": "x"}]}', '{"findings": 3}', "\ufeff{"):
        (out / "findings.json").write_text(text, encoding="utf-8")
        answer = pages.get("/folder/")
        assert answer.status_code == 200
        assert "Nothing has been judged yet." in answer.content.decode()


def test_results_inside_the_folder_are_listed_once(pages, folder):
    from django.test import override_settings

    inside = folder / "out"
    inside.mkdir()
    (inside / "report.html").write_text("<p>x</p>", encoding="utf-8")
    with override_settings(FAIRTANK_OUT=str(inside)):
        links = Outline(pages.get("/folder/").content.decode()).links
    assert "/results/report.html" in links
    assert "/folder/out/report.html" not in links


def test_the_page_only_answers_to_being_read(shelf, pages):
    for method in ("post", "put", "delete", "patch"):
        assert getattr(pages, method)("/folder/").status_code == 405
    assert pages.head("/folder/").status_code == 200
