"""The page of the finding in a real browser: its charts are drawn on both papers behind the policy. See test_every_page for axe."""

import pytest
from tests.web.chart_program import program_made_once
from tests.web.judged_trials import sent, shelved, worked_out

LAUNCH = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update"]
HOST = "http://127.0.0.1"
FILES = ("fairtank.css", "chart.css", "finding.css", "js/chart.js", "django_htmx/htmx-2.min.js",
         "fonts/AtkinsonHyperlegibleNext-Regular.ttf", "fonts/AtkinsonHyperlegibleNext-Bold.ttf")
STATE = "[...document.querySelectorAll('figure[data-chart]')].map(figure => figure.dataset.drawn)"


@pytest.fixture
def answers(asked, tmp_path):
    """Every answer that the page needs, by its address: asked for before there is a browser, which Django's database would refuse."""
    from django.templatetags.static import static
    from django.urls import reverse

    from fairtank.web.chart_bundle import bundle_version

    trial = shelved(tmp_path / "glasses")
    assert worked_out(trial, "judge").state == "done"
    address, bundle = reverse("finding", args=[trial.slug]), reverse("chart_bundle", args=[bundle_version()])
    found = {}
    for name in (address, reverse("chart_bundle_newest"), bundle, *(static(file) for file in FILES)):
        with program_made_once():
            answer = asked.get(name)
        assert answer.status_code in (200, 302), name
        headers = {key.lower(): value for key, value in answer.items() if key.lower() != "content-length"}
        found[name] = (answer.status_code, headers, sent(answer) if answer.streaming else answer.content)
    status, headers, _ = found[reverse("chart_bundle_newest")]
    found[reverse("chart_bundle_newest")] = found[bundle] if status == 302 else found[reverse("chart_bundle_newest")]
    return address, found


@pytest.mark.browser
def test_the_finding_draws_its_charts_on_both_papers(answers, chromium):
    from playwright.sync_api import sync_playwright

    address, found = answers
    said, missing = [], []

    def given(route):
        name = route.request.url.removeprefix(HOST).partition("?")[0]
        if name not in found:
            missing.append(name)
        status, headers, body = found.get(name, (404, {}, b""))
        route.fulfill(status=status, headers=headers, body=body)

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=chromium, args=LAUNCH)
        page = browser.new_page(viewport={"width": 360, "height": 8000})
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        page.route("**/*", given)
        page.goto(HOST + address)
        for theme in ("light", "dark"):
            page.evaluate("theme => { document.documentElement.dataset.theme = theme; }", theme)
            page.wait_for_function(f"theme => {STATE}.length === 4 && {STATE}.every(told => told === `narrow ${{theme}}`)", arg=theme)
            assert page.evaluate("document.documentElement.scrollWidth") <= 360
        browser.close()
    assert (said, missing) == ([], [])
