"""Pages: self-contained, escaped, readable by table and by ear."""

import datetime as dt
import re
from html.parser import HTMLParser

import pytest

from opsreport.money import Currency
from opsreport.places import templates_folder
from opsreport.tables.table import (
    Column,
    Document,
    Facts,
    Label,
    Labels,
    Paper,
    Prose,
    Row,
    Table,
    Total,
)
from opsreport.write.html_page import html_bytes, index_bytes

LETTER = Paper("Letter", Currency("USD"), dt.date(2026, 11, 20))
NASTY = "<script>alert(1)</script>\"'&</style>"
VOID = {"meta", "br", "link", "img", "col"}
ENDED_BY = {
    "td": {"td", "th", "tr", "tbody", "table"},
    "th": {"td", "th", "tr", "tbody", "table"},
    "tr": {"tr", "tbody", "table"},
    "thead": {"tbody", "table"},
    "tbody": {"tbody", "table"},
    "li": {"li", "ul"},
    "dt": {"dt", "dd", "dl"},
    "dd": {"dt", "dd", "dl"},
    "p": {"address", "details", "div", "dl", "h1", "h2", "h3", "header", "main", "nav", "p", "section", "table", "ul"},
}
"""Elements whose end tags may be left out, and the tags that then end them.

Source: HTML Living Standard, 13.1.2.4 Optional tags.
"""

STATIONS = Table(
    "Stations",
    "Station 1",
    (
        Column("Kit", "code"),
        Column("Kits", "count"),
        Column("Cost", "money"),
        Column("Done", "boxes"),
        Column("By", "write-in"),
    ),
    (
        Row(("Session s1", None, None, None, None), "heading"),
        Row(("A", 1400, 1250, 3, None)),
        Row(("B", 2, 50, 1, None), "warning"),
    ),
    intro=("Fill a tub.",),
    notes=("Then wash.",),
    totals=(Total("k", "All", "Kits", 1402), Total("c", "All", "Cost", 1300)),
)


class Tree(HTMLParser):
    """Tags in order, checked for balance, with the text in each."""

    def __init__(self, page: bytes) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[tuple[str, str]] = []
        self.feed(page.decode("utf-8"))
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._end_before(tag)
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        while self.open[-1] != tag and tag in ENDED_BY.get(self.open[-1], ()):
            self.open.pop()
        assert self.open.pop() == tag

    def _end_before(self, tag: str) -> None:
        while self.open and tag in ENDED_BY.get(self.open[-1], ()):
            self.open.pop()

    def handle_data(self, data: str) -> None:
        if data.strip() and self.open:
            self.texts.append((self.open[-1], data.strip()))

    def all(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.tags if name == tag]

    def text(self, tag: str) -> list[str]:
        return [text for name, text in self.texts if name == tag]


def page_of(*parts: Table | Facts | Prose | Labels, **more: object) -> Tree:
    return Tree(html_bytes(Document("packing/x", "A page", "volunteers", parts, **more), LETTER))  # type: ignore[arg-type]


def test_same_document_same_bytes() -> None:
    document = Document("x", "A page", "", (STATIONS,))
    assert html_bytes(document, LETTER) == html_bytes(document, LETTER)


def test_text_stays_text_everywhere() -> None:
    label = Label(NASTY, (NASTY,), NASTY, (NASTY,))
    table = Table(
        NASTY,
        NASTY,
        (Column(NASTY),),
        (Row((NASTY,)),),
        (NASTY,),
        (NASTY,),
        (Total("t", NASTY, NASTY, NASTY),),
    )
    parts = (
        Facts(((NASTY, NASTY),), NASTY),
        Prose((NASTY,), NASTY, "warning"),
        table,
        Labels(NASTY, NASTY, (label,)),
    )
    document = Document(
        "x", NASTY, NASTY, parts, NASTY, links=((NASTY, f"{NASTY}.html"), (NASTY, "javascript:alert(1)"))
    )
    for render in (html_bytes, index_bytes):
        page = render(document, LETTER)
        tree = Tree(page)
        assert not tree.all("script")
        assert page.count(b"</style>") == 1
        assert tree.text("h1") == [NASTY]
        assert all(":" not in str(link["href"]) for link in tree.all("a"))


def test_self_contained() -> None:
    page = html_bytes(Document("x", "A page", "", (STATIONS, Prose(("https://example.org",)))), LETTER).decode()
    tree = Tree(page.encode())
    assert not [tag for tag, _ in tree.tags if tag in ("script", "img", "link", "iframe", "object", "form")]
    assert not re.search(r"url\(|@import|src=", page)
    assert tree.tags[0] == ("html", {"lang": "en"})
    assert tree.text("title") == ["A page"]
    assert "default-src 'none'" in str(tree.all("meta"))


def test_table_says_what_its_cells_are() -> None:
    tree = page_of(STATIONS)
    assert [head.get("scope") for head in tree.all("th")] == [None] * 5 + ["rowgroup", None, None, "row"]
    assert tree.text("th") == ["Kit", "Kits", "Cost", "Done", "By", "Session s1", "A", "B", "All"]
    assert tree.text("td") == ["1,400", "$12.50", "☐ ☐ ☐", "2", "$0.50", "☐", "1,402", "$13.00"]


def test_a_wide_table_scrolls_by_itself() -> None:
    """What cannot be broken is wider than a small screen: long words, or dates on one line; what can be is not."""
    words = Table("T", "Words", (Column("C", width=120),) * 4, (Row(("many short words " * 9,) * 4),))
    long = Table("T", "Long", (Column("C"),) * 2, (Row(("x" * 40, "y" * 40)),))
    days = Table("T", "Days", (Column("D", "date"),) * 5, (Row((dt.date(2027, 2, 24),) * 5),))
    regions = [div for div in page_of(STATIONS, words, long, days).all("div") if div.get("role") == "region"]
    assert [(each["tabindex"], each["aria-labelledby"]) for each in regions] == [("0", "part-3"), ("0", "part-4")]


def test_every_row_fills_the_table() -> None:
    page = html_bytes(Document("x", "A page", "", (STATIONS,)), LETTER).decode()
    rows = re.split(r"<tr\b", page.split("<table")[1])[1:]
    assert len(rows) == 5
    for row in rows:
        cells = re.findall(r"<t[hd]\b[^>]*>", row)
        assert sum(int(next(iter(re.findall(r"colspan=(\d+)", cell)), 1)) for cell in cells) == 5


def test_total_under_the_first_column() -> None:
    table = Table(
        "T",
        "T",
        (Column("Kits", "count"), Column("Day")),
        (Row((1, "a")),),
        totals=(Total("k", "All", "Kits", 1),),
    )
    tree = page_of(table)
    assert tree.text("td")[-1:] == ["1"]
    assert tree.text("th")[-1] == "All"


def test_ids_are_unique_and_named_ones_exist() -> None:
    tree = page_of(*[STATIONS] * 4, Facts((("a", "b"),), "Facts"), Labels("L", "L", ()))
    ids = [attributes["id"] for _, attributes in tree.tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    named = {
        str(attributes[key]).lstrip("#")
        for _, attributes in tree.tags
        for key in ("aria-labelledby", "href")
        if key in attributes and attributes[key] != "../index.html"
    }
    assert named <= set(ids)


def test_empty_table_says_so() -> None:
    assert page_of(Table("T", "T", (Column("A"), Column("B")), (), empty="Nobody.")).text("td") == ["Nobody."]


@pytest.mark.parametrize(("size", "landscape", "said"), [("Letter", False, "letter"), ("A4", True, "a4 landscape")])
def test_paper(size: str, landscape: bool, said: str) -> None:
    paper = Paper(size, Currency(), dt.date(2026, 1, 1))  # type: ignore[arg-type]
    page = html_bytes(Document("x", "Ünits & \\", "", (STATIONS,), landscape=landscape), paper).decode()
    assert f"{{size:{said};" in page
    assert r'content:"Ünits \26  \5c "}' in page
    assert '"Page " counter(page) " of " counter(pages)' in page


def test_labels_alone_print_alone() -> None:
    label = Label("Kit A", ("one",), "Contains: milk")
    labels = Labels("L", "Stickers", (label,) * 11)
    page = html_bytes(Document("x", "Stickers", "", (Prose(("Peel.",)), labels)), LETTER).decode()
    assert "<body class=labels-only>" in page
    assert page.count('<div class="sheet">') == 2
    assert "grid-template-columns: repeat(2, 101.6000mm); grid-auto-rows: 50.8000mm;" in page
    assert "<body class" not in html_bytes(Document("x", "S", "", (STATIONS, labels)), LETTER).decode()


def test_long_labels_are_set_smaller_and_say_all() -> None:
    short, long = (
        Label("Kit", ("one",), "Contains: milk"),
        Label("Kit", ("x" * 60,) * 5, "Contains: " + "milk, " * 40),
    )
    tree = page_of(Labels("L", "L", (short, long)))
    sizes = [
        int(found[1]) / 2 for div in tree.all("div") if (found := re.match(r"label h(\d+)", str(div.get("class"))))
    ]
    assert sizes[0] == 12
    assert 5.5 <= sizes[1] < 9
    assert long.contains.strip() in tree.text("p")


def test_links_are_relative_to_the_page() -> None:
    tree = page_of(
        STATIONS, links=(("Start", "index.html"), ("Beside", "packing/a b.html"), ("Order", "orders/po.xlsx"))
    )
    assert [link["href"] for link in tree.all("a")] == ["../index.html"] * 2 + ["a%20b.html", "../orders/po.xlsx"]


def test_every_page_leads_back_to_the_start_but_one_that_is_sent_away() -> None:
    for leaves in (False, True):
        page = html_bytes(Document("orders/po-1", "Order", "", (STATIONS,), leaves=leaves), LETTER).decode()
        assert ('<a href="../index.html">Start page</a>' in page) is not leaves


def test_a_row_s_first_words_lead_to_its_document() -> None:
    columns = (Column("By", "date"), Column("What"), Column("More"))
    row = Row((dt.date(2027, 2, 8), "Place it", "soon"), links_to="orders/po 1.html")
    page = html_bytes(Document("packing/x", "A page", "", (Table("T", "T", columns, (row,)),)), LETTER).decode()
    assert '<td><a href="../orders/po%201.html">Place it</a><td>soon\n' in page


def test_of_very_many_parts_those_are_listed_that_begin_a_printed_page() -> None:
    def listed_of(number: int) -> list[str]:
        tables = [Table("T", f"T{each}", (Column("A"),), (), page_break=each % 5 == 0) for each in range(1, number + 1)]
        return [text for text in page_of(*tables).text("a") if text.startswith("T")]

    assert listed_of(3) == []
    assert listed_of(20) == [f"T{each}" for each in range(1, 21)]
    assert listed_of(22) == ["T1", "T5", "T10", "T15", "T20"]


def test_start_page_groups_links_by_folder() -> None:
    links = (
        ("Needs", "orders/needs.xlsx"),
        ("Needs", "orders/needs.html"),
        ("Labels", "packing/labels.html"),
        ("Labels, packed Tue 9 Feb 2027", "packing/2027-02-09-labels.html"),
        ("Purchase order O-1", "orders/order-O-1.html"),
        ("Findings", "findings.html"),
        ("Calendar", "calendar.ics"),
    )
    document = Document("index", "Start", "the coordinator", (STATIONS,), links=links)
    tree = Tree(index_bytes(document, LETTER))
    assert tree.text("h3") == [
        "Orders", "Packing", "Packing, Tue 9 Feb 2027", "Orders: purchase orders", "Beside this page",
    ]  # fmt: skip
    assert [(link["href"], text) for link, text in zip(tree.all("a"), tree.text("a"), strict=True)] == [
        ("#part-1", "Station 1"),
        ("#documents", "All documents"),
        ("findings.html", "What to look at in the workbook"),
        ("orders/needs.html", "Needs"),
        ("orders/needs.xlsx", "spreadsheet"),
        ("packing/labels.html", "Labels"),
        ("packing/2027-02-09-labels.html", "Labels"),
        ("orders/order-O-1.html", "O-1"),
        ("findings.html", "Findings"),
        ("calendar.ics", "Calendar"),
    ]


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, relative luminance and contrast ratio."""

    def luminance(colour: str) -> float:
        parts = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
        red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize(
    ("colour", "ratio"), [("#000000", 21), ("#767676", 4.542), ("#777777", 4.478), ("#0000FF", 8.592)]
)
def test_contrast_formula(colour: str, ratio: float) -> None:
    """WCAG's own examples against white."""
    assert contrast(colour, "#ffffff") == pytest.approx(ratio, abs=0.001)


def test_tokens_have_contrast() -> None:
    """WCAG 2.2, 1.4.3 and 1.4.11: text 4.5 : 1, rules 3 : 1, on screen and paper, and in the dark."""
    css = (templates_folder() / "style.css").read_text(encoding="utf-8")
    schemes = [dict(re.findall(r"--(\w+): (#\w{6})", block)) for block in re.findall(r":root \{[^}]*\}", css)]
    assert len(schemes) == 2
    for scheme in schemes:
        for ink in ("ink", "soft", "accent"):
            assert min(contrast(scheme[ink], scheme[ground]) for ground in ("paper", "wash")) >= 4.5
        assert contrast(scheme["rule"], scheme["paper"]) >= 3
