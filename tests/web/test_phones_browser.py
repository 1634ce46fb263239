"""A phone that opens what its camera found: the code leaves the address, a name is typed, and the phone is paired."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

LAUNCH = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update"]
LOW = """[...document.querySelectorAll('main button, main input:not([type=hidden])')]
    .filter(node => node.getBoundingClientRect().height < 44).map(node => node.outerHTML)"""


@pytest.mark.browser
def test_a_phone_is_paired_by_the_address_behind_the_symbol(chromium, tmp_path):
    from playwright.sync_api import sync_playwright

    root = Path(__file__).resolve().parents[2]
    variables = {**os.environ, "PYTHONPATH": os.pathsep.join([str(root), os.environ.get("PYTHONPATH", "")])}
    server = subprocess.Popen([sys.executable, "-m", "tests.web.pairing_site", str(tmp_path / "data")], env=variables, cwd=root,
                              stdout=subprocess.PIPE, text=True)  # fmt: skip
    try:
        port, code = server.stdout.readline().split()
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium, args=LAUNCH)
            page = browser.new_page(viewport={"width": 360, "height": 740})
            asked = []
            page.on("request", lambda request: asked.append(request.url))
            page.goto(f"http://localhost:{port}/pair#{code}")
            page.wait_for_function("document.querySelector('#code').value")
            assert page.input_value("#code") == f"{code[:4]} {code[4:]}"
            assert page.url == f"http://localhost:{port}/pair"
            assert page.evaluate("document.activeElement.id") == "name"
            assert page.evaluate("document.documentElement.scrollWidth") <= 360
            assert page.evaluate(LOW) == []
            page.keyboard.type("Kitchen phone")
            page.keyboard.press("Enter")
            page.wait_for_selector(".told")
            assert "This phone is paired as “Kitchen phone”" in page.inner_text(".told")
            assert not any(code in address.partition("#")[0] for address in asked)
            browser.close()
    finally:
        server.kill()
        server.communicate(timeout=20)
