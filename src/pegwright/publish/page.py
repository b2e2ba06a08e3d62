"""The web page: one HTML file with nothing to fetch, for screen, phone at the loom, or print."""

from __future__ import annotations

import base64
import json
from functools import lru_cache
from importlib.resources import files

from pegwright.pattern.model import (
    Block,
    Caution,
    CautionBlock,
    Facts,
    Figure,
    Item,
    MaterialBlock,
    Paragraph,
    Pattern,
    PatternStep,
    Section,
    StepBlock,
    TableBlock,
)
from pegwright.publish.drawing import ON_PAGE
from pegwright.publish.fabric_grain import ON_SCREEN
from pegwright.publish.figures import picture
from pegwright.publish.html import Content, Markup, element, text
from pegwright.publish.words import (
    SEVERITY,
    figure_names,
    finding_words,
    iso_duration,
    sizes_words,
    time_words,
)
from pegwright.tongue.tongue import Tongue

__all__ = ["how_to", "pattern_page"]

_LINK = "\N{OBJECT REPLACEMENT CHARACTER}"
"""Where a link comes to stand in a sentence."""


def pattern_page(pattern: Pattern) -> bytes:
    """The pattern as a self-contained HTML page in UTF-8.

    :raises BadInput: where a figure has no words for people who cannot see it.
    """
    names = figure_names(pattern)
    say = pattern.tongue.say
    body = element(
        "body",
        element("a", say("Skip to the pattern"), class_="skip", href="#pattern"),
        _header(pattern),
        _contents(pattern),
        element(
            "main",
            [_section(section, names, pattern.tongue) for section in pattern.sections],
            _notes(pattern),
            _proof(pattern),
            id="pattern",
        ),
        element("footer", element("p", say("{title}. Made with Pegwright.", title=pattern.title))),
    )
    html = element(
        "html", _head(pattern), "\n", body, lang=pattern.language, dir=pattern.tongue.direction
    )
    return f"<!DOCTYPE html>\n{html}\n".encode()


def how_to(pattern: Pattern) -> dict[str, object]:
    """The pattern as a schema.org HowTo, ready for JSON-LD."""
    blocks = pattern.blocks()
    supplies = [i for b in blocks if isinstance(b, MaterialBlock) for i in b.supplies]
    tools = [i for b in blocks if isinstance(b, MaterialBlock) for i in b.tools]
    made: dict[str, object] = {
        "@context": "https://schema.org",
        "@type": "HowTo",
        "name": pattern.title,
        "description": pattern.summary,
        "inLanguage": pattern.language,
        "supply": [_how_to_item("HowToSupply", i) for i in supplies],
        "tool": [_how_to_item("HowToTool", i) for i in tools],
        "step": [
            {
                "@type": "HowToStep",
                "position": step.number,
                "name": step.title,
                "text": " ".join((*step.text, step.tally)).strip(),
                "url": f"#step-{step.number}",
            }
            for step in pattern.steps()
        ],
    }
    if pattern.minutes is not None:
        made["totalTime"] = iso_duration(pattern.minutes)
    return made


def _how_to_item(kind: str, item: Item) -> dict[str, str]:
    name = ", ".join(part for part in (item.name, item.amount, item.note) if part)
    return {"@type": kind, "name": name}


# --- head ----------------------------------------------------------------------------------------


def _head(pattern: Pattern) -> Markup:
    data = json.dumps(how_to(pattern), ensure_ascii=False, sort_keys=True)
    # Inside a script only these letters could end it or open a comment.
    for letter in "<>&":
        data = data.replace(letter, f"\\u{ord(letter):04x}")
    return element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", pattern.title),
        element("meta", name="description", content=pattern.summary),
        Markup(f"<style>{_style()}</style>"),
        Markup(f'<script type="application/ld+json">{data}</script>'),
    )


@lru_cache(maxsize=1)
def _style() -> str:
    folder = files("pegwright.publish")
    style = folder.joinpath("page.css").read_text(encoding="utf-8")
    for slot, name in (
        ("@regular@", "AtkinsonHyperlegible-Regular"),
        ("@bold@", "AtkinsonHyperlegible-Bold"),
        ("@serif@", "Literata-SemiBold"),
    ):
        font = folder.joinpath("fonts", f"{name}.woff2").read_bytes()
        style = style.replace(slot, "data:font/woff2;base64," + base64.b64encode(font).decode())
    return style


def _header(pattern: Pattern) -> Markup:
    tongue = pattern.tongue
    time = time_words(pattern.minutes, tongue)
    return element(
        "header",
        element("h1", tongue.fact(pattern.title)),
        element("p", pattern.subtitle, class_="subtitle") if pattern.subtitle else None,
        element("p", tongue.fact(pattern.summary)),
        element(
            "p",
            element("strong", sizes_words(pattern.sizes, tongue)) if pattern.sizes else None,
            element("span", tongue.say("Time: {time}", time=time)) if time else None,
            class_="line",
        ),
    )


def _contents(pattern: Pattern) -> Markup:
    links = [(f"#section-{s.key}", s.title) for s in pattern.sections]
    say = pattern.tongue.say
    links.append(("#proof", say("Proof")))
    items = [element("li", element("a", title, href=href)) for href, title in links]
    return element("nav", element("ul", items), aria_label=say("Contents"))


# --- sections and blocks -------------------------------------------------------------------------


def _section(section: Section, names: dict[str, str], tongue: Tongue) -> Markup:
    title = f"section-{section.key}"
    return element(
        "section",
        element("h2", section.title, id=title),
        [_block(block, names, tongue) for block in section.blocks],
        aria_labelledby=title,
    )


def _block(block: Block, names: dict[str, str], tongue: Tongue) -> Markup:
    match block:
        case Paragraph():
            return element("p", block.text)
        case Facts():
            return _facts(block.rows)
        case TableBlock():
            return _table(block.caption, block.header, block.rows)
        case MaterialBlock():
            return _materials(block, tongue)
        case StepBlock():
            # The list is unmarked in the style; the role keeps it a list for every reader.
            steps = [_step(step, names, tongue) for step in block.steps]
            return element("ol", steps, class_="steps", role="list")
        case CautionBlock():
            return text([_caution(caution, tongue) for caution in block.cautions])
        case Figure():
            return _figure(block, names, tongue)


def _facts(rows: tuple[tuple[str, str], ...]) -> Markup:
    return element("dl", [(element("dt", name), element("dd", value)) for name, value in rows])


def _table(caption: str, header: tuple[str, ...], rows: tuple[tuple[str, ...], ...]) -> Markup:
    head = element("tr", [element("th", name, scope="col") for name in header])
    lines = [
        element(
            "tr",
            element("th", row[0], scope="row"),
            [element("td", cell) for cell in row[1:]],
        )
        for row in rows
        if row
    ]
    table = element(
        "table",
        element("caption", caption),
        element("thead", head),
        element("tbody", lines),
    )
    # A wide table scrolls by itself, and by keyboard too.
    return element("div", table, class_="scroll", role="region", aria_label=caption, tabindex="0")


def _materials(block: MaterialBlock, tongue: Tongue) -> Markup:
    say = tongue.say
    return text(
        [
            _table(caption, header, tuple((i.name, i.amount, i.note) for i in items))
            for caption, header, items in (
                (
                    say("To use up"),
                    (say("What"), say("How much"), say("Note")),
                    block.supplies,
                ),
                (
                    say("To have at hand"),
                    (say("What"), say("Which"), say("Note")),
                    block.tools,
                ),
            )
            if items
        ]
    )


def _step(step: PatternStep, names: dict[str, str], tongue: Tongue) -> Markup:
    say = tongue.say
    box = f"done-{step.number}"
    see: Content = None
    if step.figure in names:
        link = element("a", names[step.figure], href=f"#figure-{step.figure}")
        before, _, after = say("See {figure}.", figure=_LINK).partition(_LINK)
        see = element("p", before, link, after)
    tally = element("p", element("strong", say("When done:")), " ", step.tally, class_="tally")
    content = element(
        "div",
        element(
            "h3",
            element("span", say("Step {number}:", number=step.number), " ", class_="spoken"),
            step.title,
        ),
        [element("p", words) for words in step.text],
        see,
        tally if step.tally else None,
        element(
            "label",
            element("input", type="checkbox", id=box),
            say("Step {number} done", number=step.number),
            for_=box,
            class_="done",
        ),
    )
    number = element("span", str(step.number), class_="number", aria_hidden="true")
    return element("li", number, content, id=f"step-{step.number}")


def _caution(caution: Caution, tongue: Tongue) -> Markup:
    title = tongue.say("Caution: {title}", title=caution.title)
    source = tongue.say("Source: {source}", source=caution.source)
    return element(
        "div",
        element("p", element("strong", f"⚠\ufe0e {title}")),
        element("p", caution.text),
        element("p", source, class_="source"),
        class_="caution",
        role="note",
    )


def _figure(figure: Figure, names: dict[str, str], tongue: Tongue) -> Markup:
    drawing = Markup(picture(figure, ON_PAGE, grain=ON_SCREEN, tongue=tongue).svg.decode("utf-8"))
    name = element("strong", f"{names[figure.key]}. ")
    caption = element("figcaption", name, figure.caption)
    return element("figure", drawing, caption, id=f"figure-{figure.key}")


def _notes(pattern: Pattern) -> Markup | None:
    if not pattern.notes:
        return None
    return element(
        "section",
        element("h2", pattern.tongue.say("Notes"), id="notes"),
        element("ul", [element("li", note) for note in pattern.notes]),
        aria_labelledby="notes",
    )


def _proof(pattern: Pattern) -> Markup:
    proof, tongue = pattern.proof, pattern.tongue
    say = tongue.say
    findings = [
        element(
            "li",
            element("strong", f"{tongue.speak(SEVERITY[f.severity])}: "),
            finding_words(f, tongue),
        )
        for f in proof.findings
    ]
    return element(
        "section",
        element("h2", say("Proof"), id="proof"),
        [element("p", words) for words in proof.sentences],
        _facts(
            (
                (say("Operations executed"), tongue.digits(f"{proof.operations:,}")),
                (say("Loops made"), tongue.digits(f"{proof.loops:,}")),
                ("Pegwright", proof.version),
            )
        ),
        (element("p", say("What the run noticed:")), element("ul", findings)) if findings else None,
        element(
            "p", say("Digest of the executed design (SHA-256):"), " ", element("code", proof.digest)
        ),
        aria_labelledby="proof",
    )
