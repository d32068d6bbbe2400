"""Reads a job sheet's SVG pages and HTML with parsers of their own, and holds the PDF's words to the SVG's.

    python check_pages.py FOLDER PAGE.txt...

FOLDER holds sheet-1.svg ..., sheet.html and plan.json; PAGE.txt are the PDF's pages as text, in order, in the
order in which they were drawn.
"""

import html.parser
import json
import pathlib
import sys
import xml.etree.ElementTree as tree

SVG = "{http://www.w3.org/2000/svg}"
VOID = {"meta", "input", "rect", "path", "circle"}


def bare(words):
    """Words without blanks, which readers of a PDF put where they please."""
    return "".join(words.split())


class Page(html.parser.HTMLParser):
    """What is wrong with a page of HTML, and its words."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.wrong, self.open, self.names, self.links, self.words = [], [], [], [], []
        self.viewport = False

    def handle_startendtag(self, tag, attributes):
        self.element(tag, dict(attributes))

    def handle_starttag(self, tag, attributes):
        self.element(tag, dict(attributes))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.wrong.append(f"</{tag}> closes nothing")

    def handle_data(self, data):
        self.words.append(data)
        if self.open and self.open[-1] == "style" and ("@import" in data or "url(" in data):
            self.wrong.append("the style fetches something")

    def element(self, tag, attributes):
        if tag in {"script", "link", "iframe", "img", "object", "embed"}:
            self.wrong.append(f"<{tag}> does not belong here")
        for name, value in attributes.items():
            if name == "src" or name.startswith("on"):
                self.wrong.append(f"{name}={value!r} does not belong here")
        if "id" in attributes:
            self.names.append(attributes["id"])
        self.links += [attributes[name] for name in ("href", "for") if name in attributes]
        self.links += [
            value[4:-1] for value in attributes.values() if value and value.startswith("url(")
        ]
        self.viewport |= attributes.get("name") == "viewport"


def check_html(path, plan):
    page = Page()
    text = path.read_text(encoding="utf-8")
    page.feed(text)
    page.close()
    wrong = page.wrong + [f"<{tag}> is left open" for tag in page.open]
    try:
        tree.fromstring(text.split("\n", 1)[1])
    except tree.ParseError as error:
        wrong.append(f"not well-formed: {error}")
    if not page.viewport:
        wrong.append("no viewport for phones")
    wrong += [f"id {name!r} twice" for name in set(page.names) if page.names.count(name) > 1]
    for link in page.links:
        if link.removeprefix("#") not in page.names:
            wrong.append(f"{link!r} leads nowhere")
    words = bare(" ".join(page.words))
    wrong += [f"{name} is missing" for name in plan if bare(name) not in words]
    return [f"{path}: {fault}" for fault in wrong]


def check_svg(path, text):
    try:
        root = tree.parse(path).getroot()
    except tree.ParseError as error:
        return [f"{path}: not well-formed: {error}"]
    names = [element.get("id") for element in root.iter() if element.get("id")]
    wrong = [f"id {name!r} twice" for name in set(names) if names.count(name) > 1]
    drawn = bare(text)
    words = [e.text or "" for e in root.iter(f"{SVG}text") if e.get("fill") == "#000"]
    if not words:
        wrong.append("no words")
    # Letters that the PDF's typeface lacks come out as they can.
    for line in words:
        if line.isascii() and bare(line) not in drawn:
            wrong.append(f"{line!r} is not in the PDF")
    return [f"{path}: {fault}" for fault in wrong]


def main(folder, *texts):
    folder = pathlib.Path(folder)
    record = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    names = [piece["id"] for piece in record["posts"] + record["straps"]]
    names.append(record["boat"]["name"])
    wrong = check_html(folder / "sheet.html", names)
    pages = [pathlib.Path(text).read_text(encoding="utf-8") for text in texts]
    for number, text in enumerate(pages, start=1):
        wrong += check_svg(folder / f"sheet-{number}.svg", text)
    if not pages or (folder / f"sheet-{len(pages) + 1}.svg").exists():
        wrong.append(f"{folder}: the PDF has {len(pages)} pages, there are other SVG pages")
    whole = bare(" ".join(pages))
    wrong += [f"{folder}/sheet.pdf: {name} is missing" for name in names if bare(name) not in whole]
    for fault in wrong:
        print(fault)
    if not wrong:
        print(f"{folder}: {len(pages)} pages as PDF, SVG and HTML")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
