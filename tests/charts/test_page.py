"""The page stands alone: no other host, a policy that allows only its own script and style."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import replace

import pytest
from sample_forecasts import sample_forecast, sample_tank

from watervane.app.pictures import picture_of
from watervane.charts.page import page

HOSTILE = '</script><script>alert("x")</script><img src=x onerror=alert(1)>'


@pytest.fixture(scope="module")
def html() -> str:
    return page(picture_of(sample_forecast(), sample_tank()))


def policy(html: str) -> str:
    found = re.search(r'Content-Security-Policy" content="([^"]+)"', html)
    assert found
    return found.group(1)


def hashed(text: str) -> str:
    return f"sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}"


def test_the_policy_admits_exactly_the_script_and_the_style(html: str) -> None:
    script = html.split('<script type="module">', 1)[1].split("</script>", 1)[0]
    style = html.split("<style>", 1)[1].split("</style>", 1)[0]
    assert f"script-src '{hashed(script)}'" in policy(html)
    assert f"style-src '{hashed(style)}'" in policy(html)
    assert "default-src 'none'" in policy(html)
    assert "unsafe" not in policy(html)


def test_nothing_is_fetched_from_elsewhere(html: str) -> None:
    body = re.sub(r'<script type="module">.*?</script>', "", html, flags=re.DOTALL)
    assert not re.search(r'(?:src|href)\s*=\s*["\']?(?:https?:)?//', body)
    assert "<link" not in body
    assert "@import" not in body


def test_words_tables_and_a_drawing_stand_without_scripts(html: str) -> None:
    assert "Nitrite will most likely peak on Tuesday 24 March" in html
    assert html.count("<caption>") == 4
    assert re.search(r'<noscript><div class="still" role="img" aria-label="[^"]+"><svg', html)
    assert 'lang="en"' in html


def test_the_embedded_specification_is_whole(html: str) -> None:
    found = re.search(r'id="picture">(.*?)</script>', html, re.DOTALL)
    assert found
    embedded = json.loads(found.group(1))
    assert len(embedded["spec"]["vconcat"]) == 5
    assert embedded["config"]["style"]["median"]["color"] == "var(--ink)"


def test_a_hostile_name_stays_text(html: str) -> None:
    forecast = replace(sample_forecast(), tank=HOSTILE)
    tank = replace(sample_tank(), name=HOSTILE)
    hostile = page(picture_of(forecast, tank))
    assert hostile.count("<script") == html.count("<script")
    assert "<img src=x" not in hostile
