"""Opens the pages that `preview --html` wrote in a headless browser, and looks at them as a person
would: finds a piece, zooms, reads dimensions. What has to stand there comes from the model
(expected.json, written by the tests).

    python pages.py BROWSER FOLDER [SCREENSHOTS]

FOLDER has a folder for each batch, with page.html and expected.json in it, and beside them pages
of batches that are not planned.
"""

import json
import pathlib
import random
import sys

from playwright.sync_api import sync_playwright


def painted(page, canvas):
    """How many different colours a canvas shows."""
    return page.evaluate(
        """id => { const c = document.getElementById(id), d = c.getContext("2d").getImageData(0, 0, c.width, c.height).data;
        const seen = new Set(); for (let i = 0; i < d.length; i += 4) seen.add(d[i] << 16 | d[i + 1] << 8 | d[i + 2]); return seen.size; }""",
        canvas,
    )


def picture(page, canvas):
    return page.evaluate("id => document.getElementById(id).toDataURL()", canvas)


def settle(page):
    page.evaluate("() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")


def look(browser, folder, shots):
    expected = json.loads((folder / "expected.json").read_text())
    pieces = expected["pieces"]
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    wrong = []
    page.on("console", lambda m: wrong.append(f"console {m.type}: {m.text}"))
    page.on("pageerror", lambda e: wrong.append(f"error: {e}"))
    page.on("request", lambda r: r.url.startswith(("file:", "data:")) or wrong.append(f"request: {r.url}"))
    page.goto((folder / "page.html").resolve().as_uri())
    page.wait_for_function("document.documentElement.dataset.drawn", timeout=60_000)
    first = int(page.evaluate("document.documentElement.dataset.drawn"))

    count = page.inner_text("#count")
    assert count.startswith(f"{len(pieces)} pieces"), count
    assert page.locator("#list .row").count() < 80, "rows out of sight are drawn"
    assert painted(page, "strip") > 6 and painted(page, "clock") > 4, "a canvas is blank"

    # Pieces found by their names, whatever the names hold; every dimension is the model's.
    dice = random.Random(7)
    some = [pieces[0], pieces[-1]] + dice.sample(pieces, min(len(pieces), 25))
    for piece in some:
        page.fill("#find", f"{piece['mark']} {piece['frame']} serial {piece['serial']}")
        page.press("#find", "Enter")
        settle(page)
        assert page.inner_text("#piece-mark") == piece["mark"], piece
        length = page.inner_text("#piece-length").split()[0]
        assert length == piece["length"], (length, piece)
        facts = dict(zip(page.locator("#piece dt").all_inner_texts(), page.locator("#piece dd").all_inner_texts()))
        assert facts.get("imported from") == piece["source"], (facts, piece)
        at = sorted(page.locator("#piece td.at").all_inner_texts())
        assert at == piece["at"], (at, piece)
        # The drawing's running dimensions: the length, and no figure the model does not have.
        figures = set(page.locator("#unrolled text.run").all_text_contents())
        known = {"0", piece["length"]} | {f for text in piece["at"] for f in text.split(" to ")}
        assert piece["length"] in figures and figures <= known, (figures - known, piece)

    # The keyboard alone: search, down the list, the next piece.
    page.fill("#find", "")
    page.keyboard.press("Enter")
    page.focus("#list")
    before = page.inner_text("#piece dl")
    page.keyboard.press("ArrowDown")
    assert page.inner_text("#piece dl") != before
    page.keyboard.press("/")
    assert page.evaluate("document.activeElement.id") == "find"

    # The strip and the clock zoom and move.
    for canvas in ("strip", "clock"):
        page.focus(f"#{canvas}")
        page.keyboard.press("0")
        settle(page)
        whole = picture(page, canvas)
        page.keyboard.press("+")
        page.keyboard.press("+")
        settle(page)
        near = picture(page, canvas)
        page.keyboard.press("ArrowRight")
        settle(page)
        assert whole != near and near != picture(page, canvas), f"{canvas} does not zoom or move"
    page.hover("#strip")

    # A click on the strip picks a piece.
    page.keyboard.press("Home")
    page.locator("#strip").click(position={"x": 500, "y": 100})
    settle(page)

    shot = page.screenshot(path=shots / f"{folder.name}.png" if shots else None)
    assert len(shot) > 30_000, "the screenshot is blank"
    # Paper, and a tablet held upright in the dark: nothing reaches past the edge.
    page.emulate_media(color_scheme="dark")
    page.set_viewport_size({"width": 768, "height": 1024})
    settle(page)
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= 768, f"{wide} px wide on a tablet"
    if shots:
        page.screenshot(path=shots / f"{folder.name}-tablet.png")
    assert not wrong, wrong
    page.close()
    size = (folder / "page.html").stat().st_size / 1e6
    print(f"{folder.name}: {len(pieces)} pieces, {size:.1f} MB, first drawing after {first} ms")


def look_at_refusal(browser, file, shots):
    """A batch that was not planned: said on the first screen, and readable on a telephone."""
    page = browser.new_page(viewport={"width": 390, "height": 844})
    wrong = []
    page.on("console", lambda m: wrong.append(f"console {m.type}: {m.text}"))
    page.on("request", lambda r: r.url.startswith(("file:", "data:")) or wrong.append(f"request: {r.url}"))
    page.goto(file.resolve().as_uri())
    said = page.get_by_text("Nothing was planned, and no program was written.").bounding_box()
    assert said and said["y"] + said["height"] < 400, said
    found = page.locator("article.error")
    assert found.count() >= 2 and found.locator("mark").count() >= 2, "errors without their places"
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 844})
        settle(page)
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide <= width, f"{wide} px wide on {width}"
        if shots:
            page.screenshot(path=shots / f"refused-{width}.png")
    assert not wrong, wrong
    page.close()
    print(f"{file.name}: not planned, and says so")


def main():
    browser_at, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    shots = pathlib.Path(sys.argv[3]) if len(sys.argv) > 3 else None
    if shots:
        shots.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=browser_at, args=["--no-sandbox"])
        for batch in sorted(folder.iterdir()):
            if (batch / "page.html").exists():
                look(browser, batch, shots)
        for refused in sorted(folder.glob("*.html")):
            look_at_refusal(browser, refused, shots)
        browser.close()


main()
