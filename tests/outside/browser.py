"""The page in a real browser: a teacher's week, every view by the rules for those who cannot see it,
and how long a change takes to be painted.

    browser.py PROGRAM AXE [FOLDER FOR PICTURES]

Needs Debian's chromium and chromium-driver, poppler, selenium, Pillow and numpy; AXE is the file axe.min.js of the package
axe-core.
"""

import base64
import io
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy
from PIL import Image, ImageFilter
from selenium import webdriver
from selenium.common.exceptions import StaleElementReferenceException
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.chrome.service import Service
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

ROOT = Path(__file__).resolve().parents[2]
PROGRAM = Path(sys.argv[1]).resolve()
PICTURES = Path(sys.argv[3]) if len(sys.argv) > 3 else None
WIDTHS = [1280, 820, 390]
AXE = Path(sys.argv[2]).read_text()

FIVE = """name,keys,drill,tempo,goal,went-well
Amara Okonjo,Eb,pushed,72,120,yes
Béla Szántó,C,on-the-beat,60,100,
Chiara Montefosco,F,solid,50,80,yes
Dag Høyrup,"Db,Gb",pushed,96,132,no
Esra Yıldızhan,Bb,shells,66,104,
"""

work = Path(tempfile.mkdtemp())
downloads = work / "downloads"
downloads.mkdir()
environment = dict(os.environ, XDG_CONFIG_HOME=str(work / "settings"))


class Program:
    """The program with its page."""

    def __init__(self, arguments=("--no-browser",), **variables):
        self.process = subprocess.Popen(
            [PROGRAM, "desk", *arguments], stdout=subprocess.PIPE, text=True, env=dict(environment, **variables), cwd=work
        )
        self.address = self.process.stdout.readline().split()[-1]

    def end(self):
        self.process.terminate()
        self.process.wait()


def browser():
    options = webdriver.ChromeOptions()
    for argument in ["--headless=new", "--no-sandbox", "--disable-dev-shm-usage", "--force-device-scale-factor=1"]:
        options.add_argument(argument)
    options.add_experimental_option("prefs", {"download.default_directory": str(downloads)})
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    return webdriver.Chrome(service=Service("/usr/bin/chromedriver"), options=options)


def until(what, condition, seconds=60):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        try:
            if found := condition():
                return found
        except StaleElementReferenceException:
            pass
        time.sleep(0.02)
    raise AssertionError(f"waited in vain: {what}")


class Page:
    def __init__(self, driver):
        self.driver = driver

    def run(self, script, *values):
        return self.driver.execute_script(script, *values)

    def find(self, selector):
        return self.driver.find_element(By.CSS_SELECTOR, selector)

    def text(self, selector):
        return self.run("return document.querySelector(arguments[0])?.textContent ?? ''", selector)

    def count(self, name):
        return int(self.run("return document.documentElement.dataset[arguments[0]] ?? 0", name))

    def at(self, selector, deed):
        """Does something to an element, and looks for it again if it is drawn anew meanwhile."""

        def done():
            element = self.find(selector)
            self.run("arguments[0].scrollIntoView({block: 'center'})", element)
            deed(element)
            return True

        until(f"to work at {selector}", done)

    def click(self, selector):
        self.at(selector, lambda element: element.click())

    def type(self, selector, words):
        self.at(selector, lambda element: (element.send_keys(Keys.CONTROL, "a"), element.send_keys(words or Keys.DELETE)))

    def press(self, key):
        """A key for whatever has the focus when it comes: an element that was asked for before may be
        drawn anew by then."""
        ActionChains(self.driver).send_keys(key).perform()

    def drop(self, name, content):
        """Drops a file on the page."""
        self.run(
            """const bytes = Uint8Array.from(atob(arguments[1]), (one) => one.charCodeAt(0));
            const data = new DataTransfer();
            data.items.add(new File([bytes], arguments[0]));
            document.dispatchEvent(new DragEvent("drop", {dataTransfer: data, bubbles: true, cancelable: true}));""",
            name,
            base64.b64encode(content).decode(),
        )

    def view(self, name):
        self.click(f"[data-view={name}]")

    def downloaded(self, suffix):
        def whole():
            files = [file for file in downloads.iterdir() if file.suffix == suffix]
            return files[0] if files and not list(downloads.glob("*.crdownload")) else None

        file = until(f"a file {suffix}", whole)
        content = file.read_bytes()
        name = file.name
        file.unlink()
        return name, content

    def faultless(self, where):
        """No violation of the rules of axe-core, and no message on the console."""
        self.run(AXE)
        found = self.driver.execute_async_script(
            "const done = arguments[0]; axe.run(document, {resultTypes: ['violations']}).then(done)"
        )
        wrong = [f"{one['id']}: {[node['html'][:120] for node in one['nodes']][:3]}" for one in found["violations"]]
        assert not wrong, f"{where}: {wrong}"
        self.silent(where)

    def silent(self, where, but=()):
        said = [one["message"] for one in self.driver.get_log("browser")]
        said = [one for one in said if not any(word in one for word in but)]
        assert not said, f"{where}: {said}"

    def pictures(self, name):
        for width in WIDTHS:
            self.driver.set_window_size(width, 1000)
            wide = self.run("return document.documentElement.scrollWidth - document.documentElement.clientWidth")
            assert wide <= 0, f"{name} at {width} is {wide} pixels too wide"
            if PICTURES:
                PICTURES.mkdir(exist_ok=True)
                self.driver.save_screenshot(str(PICTURES / f"{name}-{width}.png"))
        self.driver.set_window_size(1440, 1000)


def made(*arguments):
    file = work / "made.pdf"
    subprocess.run([PROGRAM, *arguments, "-o", file], check=True, capture_output=True)
    return file.read_bytes()


def first_sheet(page):
    until("the first sheet", lambda: page.count("drawn") >= 1)
    assert "quintfall" in page.driver.title.lower()
    assert "#" not in page.driver.current_url, "the token stays in the address"
    assert "Chords in C major. bar 1: Cmaj7" in page.text(".words")
    page.faultless("the sheet")
    page.pictures("sheet")


def changes_of_a_sheet(page):
    page.click("[data-key=Db]")
    until("another key", lambda: "Chords in D♭ major" in page.text(".words"))
    assert page.find("[data-key=Db]").get_attribute("aria-pressed") == "true"
    page.type("#f-student", "<b>Mira</b>")
    until("the student", lambda: "<b>Mira</b>" in page.text("#sheet-paper svg"))
    page.type("#f-student", "Mira")
    page.type("#f-tempo", "999")
    until("the fault", lambda: "out of range" in page.text("#fault-tempo"))
    assert page.find("#f-tempo").get_attribute("aria-invalid") == "true"
    page.faultless("a fault")
    page.type("#f-tempo", "84")
    until("the fault gone", lambda: page.text("#fault-tempo") == "" and "= 84" in page.text("#sheet-paper svg"))
    assert page.find("#f-tempo").get_attribute("aria-invalid") is None


def the_file(page):
    page.click("#save-pdf")
    name, content = page.downloaded(".pdf")
    assert name == "handout-pushed-Db-Mira-84.pdf", name
    assert content == made("handout", "--key", "Db", "--student", "Mira", "--tempo", "84")
    page.click("#print")
    until("a tab with the file", lambda: len(page.driver.window_handles) == 2)
    for handle in page.driver.window_handles[1:]:
        page.driver.switch_to.window(handle)
        until("the file", lambda: page.driver.current_url.startswith("blob:http://127.0.0.1:"))
        page.driver.close()
    page.driver.switch_to.window(page.driver.window_handles[0])
    # What is not in front is not painted.
    page.driver.execute_cdp_cmd("Page.bringToFront", {})
    page.click("#save-recipe")
    name, recipe = page.downloaded(".toml")
    assert b'student = "Mira"' in recipe
    return content


def an_earlier_sheet(page):
    earlier = made("handout", "--keys", "F,Bb", "--drill", "shells", "--student", "Ines", "--level", "beginner")
    page.drop("last-spring.pdf", earlier)
    until("its choices", lambda: page.run("return document.getElementById('f-student').value") == "Ines")
    until("its keys", lambda: "Chords in F major" in page.text(".words"))
    assert page.find("#several").is_selected()
    page.type("#f-tempo", "72")
    until("its tempo", lambda: "= 72" in page.text("#sheet-paper svg"))
    page.click("#save-pdf")
    _, content = page.downloaded(".pdf")
    assert content == made("handout", str(write("earlier.pdf", earlier)), "--tempo", "72")
    page.drop("junk.bin", b"\x00\x01")
    until("a refusal", lambda: "junk.bin is no sheet" in page.text("#notice"))
    page.drop("empty.pdf", b"")
    until("a refusal", lambda: "empty.pdf is empty" in page.text("#notice"))
    page.run(
        """const data = new DataTransfer();
        data.items.add(new File([new Uint8Array(17 * 1024 * 1024)], "large.pdf"));
        document.dispatchEvent(new DragEvent("drop", {dataTransfer: data, bubbles: true, cancelable: true}));"""
    )
    until("a refusal", lambda: "large.pdf is larger than 16 MiB" in page.text("#notice"))
    page.click("#notice button")


def write(name, content):
    (work / name).write_bytes(content)
    return work / name


def undo_and_redo(page):
    value = "return document.getElementById('f-student').value"
    for _ in range(40):
        if page.run(value) == "Mira":
            break
        page.click("#undo")
    assert page.run(value) == "Mira"
    until("the sheet of before", lambda: "Chords in D♭ major" in page.text(".words"))
    page.click("#redo")
    until("the sheet of after", lambda: "Chords in F major" in page.text(".words"))
    page.click("#undo")
    until("the sheet of before", lambda: "Chords in D♭ major" in page.text(".words"))


def a_search(page):
    """A drill is found by any of its names, and a press on what was found chooses it at once."""
    page.click(".drills summary")
    for words in ["ii V I", "2-5-1", "two five one", "Two-five-one in major", "beginner cadence"]:
        page.type("#drill-search", words)
        shown = "return [...document.querySelectorAll('.drill:not([hidden]) input')].map((one) => one.value)"
        until(words, lambda: "two-five-one" in page.run(shown) and len(page.run(shown)) < 15)
    place = "return document.querySelector('#drill-two-five-one').getBoundingClientRect().top"
    top = page.run(place)
    page.run("document.querySelector('#drill-search').blur()")
    assert page.run(place) == top, "what was found moves under the pointer"
    page.find("#drill-two-five-one").click()
    until("it chosen", lambda: "Two-five-one in major" in page.text("#chosen-drill"))
    page.type("#drill-search", "")
    page.click(".drills summary")
    page.click("#undo")


def keyboard_alone(page):
    """From the top of the page to another key, without a mouse."""
    page.run("document.activeElement.blur()")
    seen = set()
    for _ in range(60):
        page.press(Keys.TAB)
        active = page.driver.switch_to.active_element
        seen.add(active.get_attribute("data-key"))
        if active.get_attribute("data-key") == "G":
            outline = page.run("return getComputedStyle(arguments[0]).outlineStyle", active)
            assert outline != "none", "a button in focus is not to be told"
            page.press(Keys.SPACE)
            break
    until("another key", lambda: "Chords in G major" in page.text(".words"))
    assert {"C", "F", "Bb"} <= seen


def focus_stays(page):
    """Whoever works by keys goes on where they were, and hears what is new once they pause."""
    page.view("sheet")
    page.click("#anew")
    until("the usual sheet", lambda: "Chords in C major" in page.text(".words"))
    focused = "const one = document.activeElement; return [one.tagName, one.id, one.textContent, one.closest('.rungs') !== null]"
    enter = lambda: page.press(Keys.ENTER)
    page.run("document.querySelectorAll('.rungs button')[2].focus()")
    rung = page.run(focused)[2]
    for _ in range(2):
        enter()
        until("another ladder", lambda: f"= {rung}" in page.text("#sheet-paper svg") and page.text(".rungs button") == rung)
        assert page.run(focused)[2:] == [rung, True], "the rung that was chosen lost the focus"
    page.click(".hub button")
    until("several pages", lambda: page.find("#sheet-paper .turning").is_displayed())
    last = int(page.text("#sheet-paper .where").split()[-1])
    page.run("document.querySelector('#sheet-paper .turning button:last-child').focus()")
    for _ in range(last + 1):
        enter()
    until("the last page", lambda: page.text("#sheet-paper .where") == f"{last} of {last}")
    assert page.run(focused)[2] == "Next page", page.run(focused)
    until("its number is said", lambda: f"Page {last} of {last}" in page.text("#said"))
    page.run("document.querySelector('#redo').focus()")
    enter()
    page.run("document.querySelector('#undo').focus()")
    enter()
    until("what is undone is said", lambda: page.text("#said").startswith("Undone: keys"))
    for _ in range(3):
        enter()
    assert page.run(focused)[1] == "undo", page.run(focused)
    page.type("#f-tempo", "900")
    until("the fault is said", lambda: "out of range" in page.text("#said"))
    page.click("#save-pdf")
    until("whoever saves is led to the fault", lambda: page.run(focused)[1] == "f-tempo")
    page.click("#anew")
    until("the usual sheet", lambda: "Chords in C major" in page.text(".words"))
    words = page.text(".words")
    assert "Bar 1, right hand: 1 C4 finger 1, eighth; 1 and E4" in words, words[:400]


def a_class(page):
    page.drop("five.csv", FIVE.encode())
    until("the list", lambda: page.count("listed") >= 1 and "Amara" in page.text("#view-class h2"))
    until("a sheet", lambda: "E" in page.text("#view-class svg"))
    page.faultless("the class")
    page.pictures("class")
    page.type("[data-cell='1 tempo']", "6000" + Keys.TAB)
    until("the fault", lambda: "out of range" in page.text(".faults"))
    assert page.find("[data-cell='1 tempo']").get_attribute("aria-invalid") == "true"
    page.faultless("a class with a fault")
    page.click("#save-all")
    until("whoever saves is led to the fault", lambda: page.run("return document.activeElement.dataset.cell") == "1 tempo")
    until("and told", lambda: page.text("#said").startswith("Nothing is made yet. Béla Szántó, tempo: "))
    page.click("#undo")
    until("the fault gone", lambda: page.text(".faults") == "")
    page.click("#save-all")
    _, content = page.downloaded(".zip")
    file = write("all.zip", content)
    folder = work / "unpacked"
    subprocess.run([sys.executable, "-m", "zipfile", "-e", file, folder], check=True)
    subprocess.run([PROGRAM, "class", write("five.csv", FIVE.encode()), "-o", work / "five"], check=True, capture_output=True)
    expected = {file.relative_to(work / "five"): file.read_bytes() for file in (work / "five").rglob("*.pdf")}
    found = {file.relative_to(folder): file.read_bytes() for file in folder.rglob("*.pdf")}
    assert len(found) == 7 and found == expected, (sorted(found), sorted(expected))
    page.click("#next-week")
    until("next week", lambda: "80" == page.run("return document.querySelector(\"[data-cell='0 tempo']\")?.value"))
    page.type("#new-student", "Flo Pérez" + Keys.ENTER)
    until("a student more", lambda: page.run("return document.querySelector(\"[data-cell='5 name']\")?.value") == "Flo Pérez")
    # A drill goes by its title too, and who is not ready yet keeps nobody waiting.
    page.type("[data-cell='5 drill']", "Two-five-one in major" + Keys.TAB)
    missing = lambda: [words for words in page.text("#class .faults").split("Flo Pérez, ") if words]
    until("what is missing", lambda: len(missing()) == 1 and missing()[0].startswith("keys: "))
    offered = page.run("return [...document.querySelectorAll('#drill-names option')].map((one) => one.value)")
    assert "Two-five-one in major" in offered and len(offered) >= 44
    until("the rest can be had", lambda: page.find("#save-rest").is_displayed())
    page.faultless("a class with one who is not ready")
    page.click("#save-rest")
    _, content = page.downloaded(".zip")
    assert b"Amara" in content and b"Flo" not in content
    # A press on Take out takes one out, says so, and a second press takes nobody.
    page.type("#new-student", "Gus Pérez" + Keys.ENTER)
    until("one more", lambda: page.run("return document.querySelector(\"[data-cell='6 name']\")?.value") == "Gus Pérez")
    page.run("document.querySelector(\"[aria-label='Take out Flo Pérez']\").focus()")
    for _ in range(2):
        page.press(Keys.ENTER)
    until("who was taken out is said", lambda: page.text("#said").startswith("Flo Pérez is taken out."))
    until("the next in focus", lambda: page.run("return document.activeElement.dataset.cell") == "5 name")
    assert page.run("return document.activeElement.value") == "Gus Pérez"
    page.click("[aria-label='Take out Gus Pérez']")
    until("a student less", lambda: page.run("return document.querySelector(\"[data-cell='5 name']\")") is None)
    page.click("[aria-label='Look at the sheet of Béla Szántó']")
    until("whose sheet is said", lambda: page.text("#said") == "The sheet of Béla Szántó is shown.")
    page.click("[aria-label='Look at the sheet of Amara Okonjo']")
    page.click("#close-list")
    until("that it is put away is said", lambda: page.text("#said").startswith("The list is put away"))
    page.click("#undo")
    until("the list again", lambda: page.find("#save-all").is_displayed())
    until("what is undone is said in words", lambda: page.text("#said").startswith("Undone: the list put away."))
    # What is no list takes the place of none.
    page.drop("hall.txt", b"Bring the blue book.\n")
    until("a refusal", lambda: "hall.txt is no sheet" in page.text("#notice"))
    assert "Amara" in page.run("return document.querySelector(\"[data-cell='0 name']\")?.value")
    # Whoever closes a message goes on where they were.
    page.run("document.getElementById('new-student').focus(); document.querySelector('#notice button').focus()")
    page.press(Keys.ENTER)
    until("the message gone", lambda: page.text("#notice") == "")
    assert page.run("return document.activeElement.id") == "new-student"
    focus_in_a_class(page)


def focus_in_a_class(page):
    """What is taken out or brought out of use does not take the focus with it."""
    where = "return document.activeElement.dataset.cell ?? document.activeElement.tagName"
    before = page.count("listed")
    page.type("[data-cell='0 went-well']", "perhaps" + Keys.TAB)
    until("the fault", lambda: page.count("listed") > before and "Amara" in page.text("#class .faults"))
    time.sleep(0.1)
    assert page.run(where) == "0 look", page.run(where)
    page.press(Keys.ENTER)
    until("why there is no sheet is said", lambda: "not ready yet" in page.text("#said"))
    page.click("#undo")
    until("the fault gone", lambda: page.text("#class .faults") == "")


def own_drill(page):
    page.view("own")
    page.faultless("no drill yet")
    choose(page, "#own-from", "on-the-beat")
    page.click("#own-take")
    until("what was begun with is said", lambda: page.text("#said").startswith("Begun with "))
    until("a judgement", lambda: "is a drill" in page.text("#own .about"), 120)
    until("two pages", lambda: len(page.driver.find_elements(By.CSS_SELECTOR, "#own-paper svg")) == 2)
    page.faultless("a drill of one's own")
    page.pictures("own")
    page.type("#own-figure", "1 3 5 x")
    until("the judge's words", lambda: "Line" in page.text("#own-faults"), 120)
    assert "no tone" in page.text("#own-fault-figure") and page.find("#own-figure").get_attribute("aria-invalid") == "true"
    until("they are said by the field's name", lambda: page.text("#said").startswith("Figure of the right hand: "))
    page.faultless("a drill that is wrong")
    page.type("#own-figure", "1 5 3 7")
    until("none", lambda: page.text("#own-faults") == "" and "is a drill" in page.text("#own .about"), 120)
    until("it can be used", lambda: page.find("#use-own").get_attribute("aria-disabled") != "true")
    typed_examples(page)
    page.type("#own-name", "dusk")
    page.type("#own-title", "Cadence, at dusk")
    until("it can be used", lambda: page.find("#use-own").get_attribute("aria-disabled") != "true" and "Cadence, at dusk is a drill" in page.text("#own .about"), 120)
    page.click("#use-own")
    until("it on the sheet", lambda: "Cadence, at dusk, of your own" in page.text("#chosen-drill"))
    # It stays among the drills when another is chosen, and a class knows it by its title.
    page.click(".drills summary")
    page.click("#drill-solid")
    until("another drill", lambda: page.text("#chosen-drill") == "Diatonic sevenths, solid")
    page.click("#own-drill-dusk")
    until("it again", lambda: "Cadence, at dusk, of your own" in page.text("#chosen-drill") and "Cadence, at dusk" in page.text("#sheet-paper svg"))
    page.faultless("a drill of one's own on the sheet")
    page.click(".drills summary")
    page.view("class")
    page.type("[data-cell='0 drill']", "cadence, at dusk" + Keys.TAB)
    until("it in the class", lambda: page.text("#class .faults") == "" and "Cadence, at dusk" in page.text("#view-class svg"))
    page.click("#undo")
    until("the drill of before", lambda: "Cadence, at dusk" not in page.text("#view-class svg"))


def typed_examples(page):
    """What the hints of a drill's fields show can be typed as it stands there."""
    examples = {
        "degrees": ["ii7 V7 Imaj7 VI7", "1 6 2 5", "Imaj7 lowVI7 ii7 lowV7", "bVII7 5/2 2 5"],
        "beats": ["4"],
        "figure": ["1 3 5 7 9 7 5 3", "b9 #11 low7 3@2 5:quarter rest:quarter", "1 3 5 7 | 7 5 3 1"],
        "note": ["quarter", "triplet", "sixteenth", "eighth"],
        "voicing": ["1+3+5+7", "3+7", "shell", "guide-tones", "rootless-a", "rootless-b", "1+3 | 3+7", "close"],
        "comping": ["1 2& 4", "1:quarter 2&:eighth", "1 2& | 3", "push", "charleston", "two-feel", "bossa", "silent", "on-beat"],
    }
    for field, words in examples.items():
        assert words[0] in page.text(f"#own-help-{field}"), f"{field}: {words[0]} is not in the hint"
        for example in words:
            before = page.count("judged")
            page.type(f"#own-{field}", example)
            until(f"{field}: {example} is judged", lambda: page.count("judged") > before)
            until(f"{field}: {example} is right", lambda: page.text("#own-faults") == "", 20)
        page.type(f"#own-{field}", {"degrees": "2 5 1 1", "figure": "1 5 3 7"}.get(field, words[-1]))


def a_tune(page):
    """A chart typed, moved, saved, and played over."""
    page.view("tune")
    until("the charts to begin with", lambda: page.count("charts") >= 10)
    page.faultless("no tune yet")
    choose(page, "#tune-from", "harbour-stairs")
    page.click("#tune-take")
    until("a chart", lambda: "Home is E♭ major" in page.text("#tune-paper section"))
    page.faultless("a tune")
    page.pictures("tune")
    page.click("#save-chart")
    name, content = page.downloaded(".pdf")
    assert name == "chart-Harbour-Stairs.pdf", name
    assert content == made("chart", "harbour-stairs")
    page.type("#tune-title", "Quay Steps")
    until("its title", lambda: "Quay Steps" in page.text("#tune-paper svg"))
    area = page.find("#tune-text")
    text = area.get_attribute("value")
    page.run("arguments[0].value = arguments[1]; arguments[0].dispatchEvent(new Event('input'))", area, text.replace("Fm9 ", "Hm9 ", 1))
    until("a fault at its line", lambda: "Line" in page.text("#tune-faults"))
    page.faultless("a chart with a fault")
    area.send_keys(Keys.CONTROL, Keys.END)
    page.run("arguments[0].value = arguments[1]; arguments[0].dispatchEvent(new Event('input'))", area, text)
    until("none", lambda: page.text("#tune-faults") == "")
    page.type("#look-key", "D")
    page.run("const horn = document.getElementById('look-for'); horn.value = 'Bb'; horn.dispatchEvent(new Event('change'))")
    until("it moved", lambda: "Home is E major" in page.text("#tune-paper section"))
    page.click("#save-tune")
    _, written = page.downloaded(".toml")
    assert written.decode() == text
    page.click("#save-chart")
    _, content = page.downloaded(".pdf")
    chart = write("quay.toml", written)
    assert content == made("chart", str(chart), "--key", "D", "--for", "Bb")
    page.drop("quay.pdf", made("chart", str(chart), "--paper", "letter"))
    until("the sheet opened", lambda: page.run("return document.getElementById('look-paper').value") == "letter")
    # Bars alone, as they are pasted, are a chart.
    page.run(
        """const text = document.getElementById("tune-text"); text.value = ""; text.dispatchEvent(new Event("input"));
        const data = new DataTransfer(); data.setData("text", "| Gm7 | C7 | Fmaj7 | % |");
        text.dispatchEvent(new ClipboardEvent("paste", {clipboardData: data, bubbles: true, cancelable: true}));"""
    )
    until("a chart of bars", lambda: "Home is F major" in page.text("#tune-paper section"))
    page.click("#track-tune-panel summary")
    choose(page, "#track-tune-as", "mid")
    page.click("#track-tune-save")
    _, track = page.downloaded(".mid")
    chart = write("mine.toml", page.find("#tune-text").get_attribute("value").encode())
    assert track == made_track("mid", "--tune", str(chart))
    choose(page, "#track-tune-as", "")
    a_packet(page, chart)
    # Bars that are typed become a chart under the hand.
    page.type("#tune-text", "")
    until("no text", lambda: page.find("#tune-text").get_attribute("value") == "")
    page.find("#tune-text").send_keys("Ebmaj7 | Cm7 | Fm7 | Bb7 |")
    until("a chart of what was typed", lambda: "Home is E♭ major" in page.text("#tune-paper section"))
    assert "Ebmaj7 | Cm7 | Fm7 | Bb7 |" in page.find("#tune-text").get_attribute("value")


def choose(page, selector, value):
    page.run("const from = document.querySelector(arguments[0]); from.value = arguments[1]; from.dispatchEvent(new Event('change'))", selector, value)


def a_packet(page, chart):
    """A study of the tune that was typed, and another tune with it."""
    page.click("#tune-as-packet")
    until("a packet", lambda: "of" in page.text("#tune-paper .where") and "study" in page.text("#tune-paper .about"))
    page.type("#packet-student", "Ines")
    until("for whom", lambda: "-Ines.pdf" in page.text("#tune-paper .about"))
    page.faultless("a packet")
    page.pictures("packet")
    page.click("#save-chart")
    name, content = page.downloaded(".pdf")
    assert name.startswith("study-") and content == made("study", str(chart), "--student", "Ines", "--paper", "letter"), name
    page.click("#packet input[value=walking]")
    page.click("#packet input[value=lines]")
    choose(page, "#packet-more", "harbour-stairs")
    page.click("#packet-add")
    until("two tunes", lambda: "2-tunes" in page.text("#tune-paper .about"))
    page.click("#save-chart")
    _, content = page.downloaded(".pdf")
    other = ROOT / "templates" / "charts" / "harbour-stairs.toml"
    assert content == made("study", str(chart), str(other), "--student", "Ines", "--under", "shells,walking", "--paper", "letter")
    page.drop("packet.pdf", made("study", str(other), "--student", "Zora", "--paper", "letter"))
    until("the packet opened", lambda: page.run("return document.getElementById('packet-student').value") == "Zora")
    assert page.find("#tune-as-packet").is_selected()
    for _ in range(3):
        page.click("#tune-paper .turning button:last-child")
        time.sleep(0.3)
    until("another page", lambda: page.text("#tune-paper .where").startswith("4 of"))
    page.click("#tune-as-chart")
    until("the chart again", lambda: "chart-" in page.text("#tune-paper .about"))


def made_track(ending, *arguments):
    file = work / f"made.{ending}"
    subprocess.run([PROGRAM, "playalong", *arguments, "-o", file], check=True, capture_output=True)
    return file.read_bytes()


def tracks_and_notes(page):
    """What the page saves for ears and other programs is what commands make."""
    page.view("sheet")
    page.click("#anew")
    until("the usual sheet", lambda: "Chords in C major" in page.text(".words"))
    choices = ["--drill", "pushed", "--key", "C"]
    for ending in ["musicxml", "mxl"]:
        if not page.find(f"#save-{ending}").is_displayed():
            page.click("#sheet-paper .track:last-child summary")
        page.click(f"#save-{ending}")
        _, notes = page.downloaded(f".{ending}")
        file = work / f"made.{ending}"
        subprocess.run([PROGRAM, "handout", *choices, "--musicxml", file, "--force"], check=True, capture_output=True)
        assert notes == file.read_bytes(), ending
    page.click("#track-sheet-panel summary")
    page.click("#track-sheet-panel input[value=bass]")
    page.click("#track-sheet-panel input[value=click]")
    page.type("#track-sheet-count-in", "9")
    page.click("#track-sheet-save")
    until("a fault", lambda: "from 0 to 2" in page.text("#track-sheet-fault-count-in"))
    page.faultless("a track with a fault")
    page.type("#track-sheet-count-in", "2")
    for ending in ["mid", "wav", "flac"]:
        page.run(
            "const kind = document.getElementById('track-sheet-as'); kind.value = arguments[0]; kind.dispatchEvent(new Event('change'))",
            "" if ending == "flac" else ending,
        )
        page.click("#track-sheet-save")
        name, track = page.downloaded(f".{ending}")
        assert name.startswith("playalong-pushed-C"), name
        assert track == made_track(ending, *choices, "--with", "bass,click", "--count-in", "2"), ending
    page.click("#track-sheet-listen")
    heard = "const audio = document.getElementById('track-sheet-audio'); return audio.readyState >= 1 && audio.duration"
    assert until("sound", lambda: page.run(heard)) > 5
    page.faultless("a track")
    page.pictures("track")
    # Of a course all are saved at once, and one is heard at a time.
    page.click(".drills summary")
    page.click("#course")
    page.click("#drill-solid")
    until("a course", lambda: "solid" in page.text("#chosen-drill") and "pushed" in page.text("#chosen-drill"))
    page.click("#track-sheet-save")
    _, tracks = page.downloaded(".zip")
    assert b"playlist.m3u" in tracks
    page.click("#track-sheet-listen")
    until("a choice of tracks", lambda: page.find("#track-sheet-which").is_displayed())
    page.faultless("tracks of a course")
    page.click("#course")
    page.click(".drills summary")


def folded_where_it_is_narrow(page):
    """On a telephone the sheet comes first, and the choices are one press away."""
    page.view("sheet")
    page.driver.set_window_size(500, 900)
    page.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {"width": 390, "height": 844, "deviceScaleFactor": 1, "mobile": True})
    until("the choices folded", lambda: not page.find("#choices").is_displayed())
    top = page.run("scrollTo(0, 0); return document.querySelector('#sheet-paper figure').getBoundingClientRect().top")
    assert top < 844, f"the sheet begins {top} pixels down"
    page.faultless("a telephone")
    page.click("#view-sheet .box > summary")
    assert page.find("#choices").is_displayed()
    page.driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    page.driver.set_window_size(1440, 1000)
    until("the choices open", lambda: page.find("#choices").is_displayed())


def no_ink_out_of_place(page):
    """What the browser shows against what poppler makes of the file: no dark dot of one has no ink of
    the other within two dots, at 200 dots an inch."""
    page.view("sheet")
    for number, choices in enumerate(
        [
            {"form": "handout", "keys": ["Db"], "student": "Łucja Ödegård", "note": "Shoulders down."},
            {"form": "handout", "keys": ["B"], "drill": "stride", "paper": "letter", "symbols": "signs"},
            {"form": "handout", "keys": ["Eb", "Ab"], "drill": "minor-blues", "fingering": "all"},
            {"form": "workbook", "keys": ["C", "F"], "paper": "a5", "studio": "Salle des Tilleuls"},
        ]
    ):
        drawn, content = page.driver.execute_async_script(
            """const [choices, done] = arguments; (async () => {
              const { make } = await import("/engine.js");
              const { drawing } = await make("sheet", { choices });
              const file = new Uint8Array(await (await make("pdf", { choices }, "blob")).arrayBuffer());
              done([drawing, btoa(Array.from(file, (one) => String.fromCharCode(one)).join(""))]);
            })();""",
            choices,
        )
        file = write("drawn.pdf", base64.b64decode(content))
        subprocess.run(["pdftoppm", "-r", "200", "-gray", "-png", "-singlefile", file, work / "printed"], check=True)
        printed = Image.open(work / "printed.png").convert("L")
        width, height = printed.size
        # As large as the page, so that nothing is laid out anew for the picture.
        page.driver.execute_cdp_cmd(
            "Emulation.setDeviceMetricsOverride", {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
        )
        page.run("scrollTo(0, 0)")
        page.run(
            """const place = document.createElement("div"); place.id = "place"; place.innerHTML = arguments[0];
            place.style.cssText = `position:fixed;left:0;top:0;z-index:99;background:#fff;width:${arguments[1]}px;height:${arguments[2]}px`;
            const svg = place.firstElementChild; svg.style.cssText = "display:block;width:100%;height:100%";
            svg.setAttribute("preserveAspectRatio", "none"); document.body.append(place);""",
            drawn, width, height,
        )
        # The faces are there, the second frame after that has been asked for: the first one is painted.
        page.driver.execute_async_script(
            "const done = arguments[0]; const frame = (then) => requestAnimationFrame(then); document.fonts.ready.then(() => frame(() => frame(() => done())))"
        )
        shot = page.driver.execute_cdp_cmd("Page.captureScreenshot", {})
        shown = Image.open(io.BytesIO(base64.b64decode(shot["data"]))).convert("L").crop((0, 0, width, height))
        assert (numpy.asarray(shown) < 90).sum() > 5000, "a sheet without ink"

        def far(one, other):
            near = numpy.asarray(other.filter(ImageFilter.MinFilter(5)))
            return int(((numpy.asarray(one) < 90) & (near > 200)).sum())

        counted = far(shown, printed), far(printed, shown)
        assert counted == (0, 0), f"sheet {number}: so many dots of ink are out of place: {counted}"
        page.run("document.getElementById('place').remove()")
    page.driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


class Hands:
    """A teacher's hands on the page: what is pressed and typed, with the time that it takes somebody
    who looks for each thing first (ours: five seconds for a press, a third of one for a letter)."""

    PRESS, LETTER = 5.0, 1 / 3

    def __init__(self, page):
        self.page, self.seconds = page, 0.0

    def press(self, selector):
        self.seconds += self.PRESS
        self.page.click(selector)

    def write(self, selector, words, end=""):
        self.seconds += self.PRESS + self.LETTER * len(words)
        self.page.type(selector, words + end)


def in_ten_minutes(page):
    """From the page alone: a handout for a student, next week's faster one, a class of five, and a
    study of a tune that is typed."""
    hands = Hands(page)
    page.view("sheet")
    hands.press("#anew")
    hands.press("[data-key=F]")
    hands.write("#f-student", "Odile Brandt")
    hands.write("#f-tempo", "72")
    until("the handout", lambda: "handout-pushed-F-Odile-Brandt-72.pdf" in page.text("#sheet-paper .about"))
    hands.press("#save-pdf")
    _, this_week = page.downloaded(".pdf")
    page.drop("this-week.pdf", this_week)
    until("it again", lambda: page.run("return document.getElementById('f-student').value") == "Odile Brandt")
    hands.write("#f-tempo", "80")
    until("faster", lambda: "-80.pdf" in page.text("#sheet-paper .about"))
    hands.press("#save-pdf")
    name, _ = page.downloaded(".pdf")
    assert name == "handout-pushed-F-Odile-Brandt-80.pdf", name
    hands.press("[data-view=class]")
    if page.find("#close-list").is_displayed():
        page.click("#close-list")
    hands.press("#begin-list")
    until("what comes next is said", lambda: page.text("#said").startswith("Nobody is in the list yet"))
    assert page.text("#class .faults") == "" and page.run("return document.activeElement.id") == "new-student"
    for number, (student, key) in enumerate([("Ada", "C"), ("Bo", "F"), ("Cy", "Bb"), ("Di", "Eb"), ("Ed", "Ab")]):
        hands.write("#new-student", student, Keys.ENTER)
        cell = f"[data-cell='{number} keys']"
        until("a row", lambda: page.run("return document.querySelector(arguments[0]) !== null", cell))
        shown = page.run("return document.querySelector('#class').innerText.split('a handout needs a key').length - 1")
        assert shown == 1, f"a fault is shown {shown} times"
        assert "a handout needs a key" in page.run("return document.getElementById(document.querySelector(arguments[0]).getAttribute('aria-describedby')).textContent", cell)
        hands.write(cell, key, Keys.TAB)
        written = "return document.querySelector(arguments[0])?.value === arguments[1] && !document.querySelector('#class .faults li')"
        until("its key", lambda: page.run(written, cell, key))
    hands.press("#save-all")
    _, class_of_five = page.downloaded(".zip")
    assert all(f"{name}/".encode() in class_of_five for name in ["Ada", "Bo", "Cy", "Di", "Ed"])
    hands.press("[data-view=tune]")
    page.type("#tune-text", "")
    page.find("#tune-text").send_keys("Dm7 | G7 | Cmaj7 | Am7 |")
    hands.seconds += hands.PRESS + 24 * hands.LETTER
    hands.write("#tune-title", "Slow Ferry")
    hands.press("#tune-as-packet")
    until("the study", lambda: "study-Slow-Ferry" in page.text("#tune-paper .about"))
    hands.press("#save-chart")
    name, _ = page.downloaded(".pdf")
    assert name.startswith("study-Slow-Ferry"), name
    print(f"a teacher's first evening: {hands.seconds / 60:.1f} minutes of looking, pressing and typing")
    assert hands.seconds < 600
    page.click("#tune-as-chart")
    page.view("sheet")


def next_week_takes_the_day(page):
    """Another day chosen for next week's list stands in its rows."""
    page.view("class")
    date = "return document.querySelector(\"[data-cell='0 date']\")?.value"
    page.type("#class-day", "2026-11-30")
    page.click("#next-week")
    until("this week's day", lambda: page.run(date) == "2026-11-30")
    assert "still 2026-11-30" in page.text("#class .remarks")
    page.type("#class-day", "2026-12-07")
    until("the day that was chosen", lambda: page.run(date) == "2026-12-07")
    assert "2026-11-30" not in page.text("#class .remarks")
    page.click("#save-list")
    _, saved = page.downloaded(".csv")
    assert b"2026-12-07" in saved and b"2026-11-30" not in saved
    page.type("#class-day", "")


def how_fast(page):
    """From a click on a key to the paint of its sheet, as the page itself can tell it."""
    page.view("sheet")
    page.click("#anew")
    until("the usual sheet", lambda: "Chords in C major" in page.text(".words"))
    took = page.driver.execute_async_script(
        """const done = arguments[0]; const keys = ["F", "Bb", "Eb", "Ab", "Db", "Gb", "B", "E", "A", "D", "G", "C"];
        const paint = () => new Promise((go) => requestAnimationFrame(() => { const c = new MessageChannel(); c.port1.onmessage = go; c.port2.postMessage(0); }));
        (async () => { const took = [];
          for (const key of [...keys, ...keys, ...keys]) {
            const figure = document.querySelector("#sheet-paper figure");
            const drawn = new Promise((go) => new MutationObserver((_, o) => { o.disconnect(); go(); }).observe(figure, {childList: true}));
            const start = performance.now();
            document.querySelector(`[data-key="${key}"]`).click();
            await drawn; await paint();
            took.push(performance.now() - start);
          }
          done(took); })();"""
    )
    # The second time round the keys they have been shown before.
    for what, part in [("change to painted", took[:12]), ("the same again", took[12:])]:
        part = sorted(part)
        print(f"{what}: median {part[len(part) // 2]:.0f} ms, 95 of 100 within {part[int(len(part) * .95)]:.0f} ms")


def closed_at_once(page, program):
    """What was chosen a moment before the page is closed is there again."""
    page.view("sheet")
    page.type("#f-student", "Quick")
    page.driver.get("about:blank")
    kept = work / "settings" / "quintfall" / "desk.json"
    until("what was chosen last is kept", lambda: '"Quick"' in kept.read_text(), 5)
    page.driver.get(program.address)
    until("the page", lambda: page.run("return document.documentElement.dataset.ready") == "yes")
    # A cell too, with the cursor still in it.
    page.view("class")
    cell = "return document.querySelector(\"[data-cell='0 tempo']\")?.value"
    until("the list", lambda: page.run(cell) is not None)
    page.type("[data-cell='0 tempo']", "112")
    page.driver.get("about:blank")
    until("what was typed in a cell is kept", lambda: '"112"' in kept.read_text(), 5)
    page.driver.get(program.address)
    until("what was typed in a cell", lambda: page.run(cell) == "112")
    page.view("sheet")


def another_run(page, program):
    """The program ends under the page, and is started again."""
    page.type("#f-student", "Zora")
    until("the name", lambda: "Zora" in page.text("#sheet-paper svg"))
    time.sleep(1)
    program.end()
    until("the page says so", lambda: "The program has ended" in page.text("#notice"))
    page.type("#f-tempo", "91")
    assert page.run("return document.getElementById('f-student').value") == "Zora"
    page.click("#save-choices")
    _, later = page.downloaded(".json")
    page.silent("the end", but=("ERR_", "Failed to load resource"))
    again = Program()
    page.driver.get("about:blank")
    page.driver.get(again.address)
    until("what was chosen", lambda: "Zora" in page.text("#sheet-paper svg"))
    page.faultless("the next run")
    page.drop("quintfall-choices.json", later)
    until("what was chosen after the end", lambda: "= 91" in page.text("#sheet-paper svg"))
    return again


def started_by_the_program(page):
    """The address that a browser is started with opens the page once."""
    opener = write("xdg-open", b'#!/bin/sh\necho "$1" > "$TOLD.new"; mv "$TOLD.new" "$TOLD"\n')
    opener.chmod(0o700)
    told = work / "told"
    other = Program([], PATH=f"{work}:{os.environ['PATH']}", TOLD=str(told))
    try:
        until("a browser was started", told.exists)
        address = told.read_text().strip()
        assert "#once-" in address and other.address.split("#")[1] not in address
        page.driver.switch_to.new_window("tab")
        page.driver.get(address)
        until("the page", lambda: page.run("return document.documentElement.dataset.ready") == "yes")
        assert "#" not in page.driver.current_url
        page.silent("the page that was opened")
        page.driver.switch_to.new_window("tab")
        page.driver.get(address)
        until("it opens once", lambda: "has been opened before" in page.text("#notice"))
        page.silent("a second opening", but=("401",))
        for _ in range(2):
            page.driver.close()
            page.driver.switch_to.window(page.driver.window_handles[-1])
        page.driver.execute_cdp_cmd("Page.bringToFront", {})
    finally:
        other.end()


def other_readers(page):
    """Dark, enlarged, and without motion."""
    dark = [{"name": "prefers-color-scheme", "value": "dark"}, {"name": "prefers-reduced-motion", "value": "reduce"}]
    page.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": dark})
    for view in ["sheet", "class", "own", "tune"]:
        page.view(view)
        time.sleep(1)
        page.faultless(f"{view} in the dark")
        page.pictures(f"{view}-dark")
    page.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
    page.view("sheet")
    # What 400 of 100 make of a screen of 1280.
    page.driver.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride", {"width": 320, "height": 256, "deviceScaleFactor": 4, "mobile": False}
    )
    for view in ["sheet", "class", "own", "tune"]:
        page.view(view)
        time.sleep(0.5)
        wide = page.run("return document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide <= 0, f"{view} at 400 of 100 is {wide} pixels too wide"
        if PICTURES:
            page.run("scrollTo(0, 0)")
            page.driver.save_screenshot(str(PICTURES / f"{view}-400-of-100.png"))
    page.view("sheet")
    page.driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def main():
    program = Program()
    driver = browser()
    driver.set_script_timeout(120)
    try:
        driver.set_window_size(1440, 1000)
        driver.get(program.address)
        page = Page(driver)
        first_sheet(page)
        changes_of_a_sheet(page)
        the_file(page)
        an_earlier_sheet(page)
        undo_and_redo(page)
        keyboard_alone(page)
        a_search(page)
        focus_stays(page)
        a_class(page)
        own_drill(page)
        a_tune(page)
        tracks_and_notes(page)
        folded_where_it_is_narrow(page)
        no_ink_out_of_place(page)
        in_ten_minutes(page)
        next_week_takes_the_day(page)
        how_fast(page)
        other_readers(page)
        started_by_the_program(page)
        closed_at_once(page, program)
        program = another_run(page, program)
        memory = Path(f"/proc/{program.process.pid}/status").read_text()
        resident = next(line for line in memory.splitlines() if line.startswith("VmRSS"))
        print(f"resident: {int(resident.split()[1]) // 1024} MB")
    finally:
        driver.quit()
        program.end()
    print("the page does a teacher's week")


main()
