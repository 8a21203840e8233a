"""What holds for every page: it can be read, reached and used by everybody, at any width."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

from service.rules.colours import MIN_CONTRAST, contrast_ratio
from tests.browser.conftest import DESK, PHONE
from tests.demo_data import open_workshop
from tests.faults.processes import Service
from tests.web.parts import a_piece, number_at

pytestmark = pytest.mark.usefixtures("complaints")

WIDTHS = {"narrow": 320, "phone": PHONE["width"], "desk": DESK["width"]}
PAGES = (
    "/",
    "/shop",
    "/shop/new-kit",
    "/shop/details",
    "/shop/templates",
    "/shop/cut-files",
    "/shop/cut-files/osv4-fc1-a500-sw2-u3.dxf",
    "/shop/kits/OSV4-FC1-A500",
    "/shop/machines",
    "/shop/machines?plant=OSV&line=4&on=2026-02-15",
    "/shop/machines/OSV4-FC1",
    "/shop/plants/OSV",
    "/floor",
    "/floor?mark={number}",
    "/s/{key}",
    "/s/{handed}",
    "/desk",
    "/desk?mark={wrong}",
    "/desk?mark=MRG7-RN3-C250-RL4-X9",
    "/desk/call",
    "/desk/call?mark=%3F%3FV4-FC1-A5%3F%3F-SW&came_by=ear&said=stock_colour:green&passed=deck",
    "/desk/segments/{number}",
    "/desk/segments/{number}/locking",
    "/desk/reports",
    "/desk/reorders",
    "/desk/reorders/1",
    "/desk/segments/NONSENSE",
    "/sign-in",
)

# For each text that shows: its colour, the first background behind it that covers, its size and weight.
TEXT_COLOURS = """() => {
  const seen = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const text = walker.currentNode.textContent.trim();
    const element = walker.currentNode.parentElement;
    if (!text || element.closest('svg, .hidden-words, script, option, .skip')) continue;
    const box = element.getBoundingClientRect();
    if (!box.width || !box.height) continue;
    let behind = element;
    while (behind && /rgba\\(0, 0, 0, 0\\)|transparent/.test(getComputedStyle(behind).backgroundColor))
      behind = behind.parentElement;
    seen.push([text.slice(0, 40), getComputedStyle(element).color,
               behind ? getComputedStyle(behind).backgroundColor : 'rgb(255, 255, 255)']);
  }
  return seen;
}"""

# What assistive software needs: names for whatever can be used, one first heading, landmarks, ids used once.
FAULTS = """() => {
  const faults = [];
  if (document.documentElement.lang !== 'en') faults.push('no language');
  const firsts = document.querySelectorAll('h1').length;
  if (firsts !== 1) faults.push(firsts + ' first headings');
  if (document.querySelectorAll('main').length !== 1) faults.push('no main landmark');
  if (!document.title.includes('Kitwright')) faults.push('no title');
  const ids = [...document.querySelectorAll('[id]')].map(e => e.id);
  for (const id of ids) if (ids.indexOf(id) !== ids.lastIndexOf(id)) faults.push('id twice: ' + id);
  for (const e of document.querySelectorAll('input:not([type=hidden]), select, textarea')) {
    if (e.closest('[aria-hidden=true]') || e.getAttribute('aria-hidden') === 'true') continue;
    if (![...(e.labels || [])].some(label => label.textContent.trim()))
      faults.push('no label: ' + e.outerHTML.slice(0, 80));
  }
  for (const e of document.querySelectorAll('[aria-describedby], [aria-labelledby]'))
    for (const id of (e.getAttribute('aria-describedby') || e.getAttribute('aria-labelledby')).split(' '))
      if (!document.getElementById(id)) faults.push('names nothing: ' + id);
  for (const e of document.querySelectorAll('a, button'))
    if (!(e.textContent.trim() || e.getAttribute('aria-label'))) faults.push('no name: ' + e.outerHTML.slice(0, 80));
  for (const e of document.querySelectorAll('img:not([alt])')) faults.push('no alt: ' + e.src);
  for (const e of document.querySelectorAll('main svg'))
    if (!(e.getAttribute('aria-label') || e.getAttribute('aria-hidden'))) faults.push('a drawing without words');
  for (const e of document.querySelectorAll('table'))
    if (!e.caption || !e.caption.textContent.trim()) faults.push('a table without caption');
  let level = 1;
  for (const e of document.querySelectorAll('h1, h2, h3, h4')) {
    const here = Number(e.tagName[1]);
    if (here > level + 1) faults.push('a heading is left out before: ' + e.textContent);
    level = here;
  }
  return faults;
}"""


@pytest.fixture(scope="module")
def marks(demo_folder: Path) -> dict[str, str]:
    workshop = open_workshop(demo_folder)
    piece = a_piece(workshop)
    wrong = piece.number[:-2] + f"{(int(piece.number[-2:]) - 2 + 5) % 97 + 2:02}"
    found = {"number": piece.number, "key": piece.key, "wrong": wrong, "handed": number_at(workshop, "OR1-L2")}
    workshop.database.close()
    return found


def rgb(text: str) -> tuple[int, int, int]:
    """A computed colour; the pages use no half-transparent ones."""
    red, green, blue, *opacity = (float(part) for part in text[text.index("(") + 1 : -1].split(","))
    assert opacity in ([], [1.0]), text
    return int(red), int(green), int(blue)


@pytest.mark.parametrize("address", PAGES)
def test_a_page_can_be_read_and_used_by_everybody(
    page: Page, service: Service, marks: dict[str, str], address: str
) -> None:
    # Colours at once, and what is folded away as well.
    page.emulate_media(reduced_motion="reduce")
    page.goto(service.url + address.format(**marks))
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    assert page.evaluate(FAULTS) == []
    texts: list[tuple[str, str, str]] = page.evaluate(TEXT_COLOURS)
    assert texts
    faint = [(text, ink, paper) for text, ink, paper in texts if contrast_ratio(rgb(ink), rgb(paper)) < MIN_CONTRAST]
    assert faint == []
    for name, width in WIDTHS.items():
        page.set_viewport_size({"width": width, "height": 800})
        over: Any = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert over <= 0, f"{name}: the page is wider than the screen"


def test_the_focus_can_be_seen(page: Page, service: Service) -> None:
    page.goto(f"{service.url}/shop")
    shown = []
    for _ in range(12):
        page.keyboard.press("Tab")
        shown.append(page.evaluate("() => parseFloat(getComputedStyle(document.activeElement).outlineWidth)"))
    assert min(shown) >= 3


def test_nothing_moves_for_people_who_asked_for_that(page: Page, service: Service) -> None:
    page.emulate_media(reduced_motion="reduce")
    page.goto(f"{service.url}/")
    moving = page.evaluate(
        "() => [...document.querySelectorAll('*')].filter(e => getComputedStyle(e).transitionDuration !== '0s'"
        " || getComputedStyle(e).animationName !== 'none').length"
    )
    assert moving == 0
