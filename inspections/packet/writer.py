"""The page writer: marks on pages, streamed into one file.

Points from the top left corner of the page, downward. This is the only module that
touches the PDF library's private attributes; `tests/packet/test_writer.py` holds what is
relied on. Two things are done another way than the library does them:

- photographs are copied from their files byte for byte while the file is written, so
  the memory used does not grow with their number;
- texts are written as one text object for each face and colour, because most of the
  time of a page goes into its many small texts.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import IO, Any

from reportlab import rl_config
from reportlab.lib.rl_accel import escapePDF
from reportlab.pdfbase import pdfdoc, pdfmetrics
from reportlab.pdfgen.canvas import Canvas

from inspections.packet.faces import Style, first_font, fit
from inspections.packet.inks import FILL, STROKE
from inspections.packet.output import Out, Picture, write_picture
from project.charts.drawing import Ink

# ASCII85 is slow in Python and adds a quarter to every photograph.
rl_config.useA85 = 0

# One text: its left end, its base line, itself and how it is set.
Word = tuple[float, float, str, Style]


@dataclass(frozen=True, slots=True)
class About:
    """What the file says of itself."""

    title: str
    author: str
    subject: str
    keywords: str
    language: str
    made: datetime


class Writer:
    """Writes pages into a binary file; `save` must be called once, at the end."""

    def __init__(
        self, handle: IO[bytes], *, size: tuple[float, float], about: About
    ) -> None:
        self.width, self.height = size
        self.missing: dict[str, frozenset[str]] = {}
        self._handle = handle
        self._canvas: Any = Canvas(
            handle,
            pagesize=size,
            pageCompression=1,
            invariant=1,
            initialFontName=first_font(),
            lang=about.language,
        )
        self._doc: Any = self._canvas._doc
        self._describe(about)
        self._shown: dict[tuple[str, str], list[tuple[str, str]]] = {}
        self._state: dict[str, str] = {}  # what the pen last was

    def _describe(self, about: About) -> None:
        canvas = self._canvas
        canvas.setTitle(about.title)
        canvas.setAuthor(about.author)
        canvas.setSubject(about.subject)
        canvas.setKeywords(about.keywords)
        canvas.setCreator("Nozzlebook")
        canvas.setViewerPreference("DisplayDocTitle", "true")
        canvas.showOutline()
        # The library knows no way to be given a date: the file's is the packet's cut,
        # not the moment of drawing, so that the same snapshot gives the same bytes.
        made = about.made.astimezone(UTC)
        self._doc._timeStamp.YMDhms = made.timetuple()[:6]

    # Pages

    def end_page(self) -> None:
        """Close the page; the next mark starts another."""
        self._canvas.showPage()
        self._doc.Pages.pages[
            -1
        ].Trans = None  # an empty transition is no archive's friend
        self._state = {}

    @property
    def page(self) -> int:
        """The number of the page being drawn, from 1."""
        return int(self._canvas.getPageNumber())

    @contextmanager
    def form(self, name: str) -> Iterator[None]:
        """Draw what `place_form` shows on every page that asked for it by name.

        The form may be drawn after the pages that show it: so a page can show a number
        that is only known at the end.
        """
        kept, self._state = self._state, {}
        self._canvas.beginForm(name, 0, 0, self.width, self.height)
        yield
        self._canvas.endForm()
        self._state = kept

    def place_form(self, name: str, x: float = 0, y: float = 0) -> None:
        """Show a form, moved right and down."""
        if x or y:
            self._canvas.addLiteral(f"q 1 0 0 1 {x:.2f} {-y:.2f} cm")
        self._canvas.doForm(name)
        if x or y:
            self._canvas.addLiteral("Q")

    def has_form(self, name: str) -> bool:
        return bool(self._canvas.hasForm(name))

    def bookmark(self, key: str, *, y: float) -> None:
        """Name a place on this page for links and for the outline."""
        self._canvas.bookmarkHorizontalAbsolute(key, self.height - y)

    def outline(self, title: str, key: str, *, level: int) -> None:
        """Add a line to the outline, pointing at a bookmark."""
        self._canvas.addOutlineEntry(title, key, level)

    def link(
        self, key: str, *, x: float, y: float, width: float, height: float
    ) -> None:
        """Make a rectangle lead to a bookmark, drawn or still to come."""
        top = self.height - y
        rect = (x, top - height, x + width, top)
        self._canvas.linkAbsolute("", key, rect, F=4, Border="[0 0 0]")

    # Marks

    def texts(self, words: Iterable[Word]) -> None:
        """Write texts in their order, as one text object."""
        code: list[str] = []
        style: Style | None = None
        font, was_x, was_y = "", 0, 0
        for x, y, text, wanted in words:
            if wanted is not style:
                code += self._change(wanted)
                style, font = wanted, ""
            run = fit(text, wanted.face)
            if run.missing:
                self.missing[text] = run.missing
            at_x, at_y = round(x * 100), round((self.height - y) * 100)
            code.append(f"{(at_x - was_x) / 100:g} {(at_y - was_y) / 100:g} Td")
            was_x, was_y = at_x, at_y
            for name, shown in self._show(run.font, run.text):
                if name != font:
                    code.append(f"{name} {wanted.size:g} Tf")
                    font = name
                code.append(f"({shown}) Tj")
        if code:
            self._canvas.addLiteral("BT " + " ".join(code) + " ET")

    def _change(self, style: Style) -> Iterator[str]:
        """Yield what must be said before a text of another style."""
        if self._is_new("fill", FILL[style.ink]):
            yield FILL[style.ink]
        tracking = f"{style.face.tracking * style.size:g} Tc"
        if self._is_new("tracking", tracking):
            yield tracking

    def text(self, x: float, y: float, text: str, style: Style) -> None:
        """Write one text at its left end and base line."""
        self.texts([(x, y, text, style)])

    def turned(self, x: float, y: float, text: str, style: Style) -> None:
        """Write one text upwards from its lower end."""
        run = fit(text, style.face)
        code = list(self._change(style))
        code.append(f"0 1 -1 0 {x:.2f} {self.height - y:.2f} Tm")
        for name, shown in self._show(run.font, run.text):
            code.append(f"{name} {style.size:g} Tf ({shown}) Tj")
        self._canvas.addLiteral("BT " + " ".join(code) + " ET")

    def _show(self, font: str, text: str) -> list[tuple[str, str]]:
        """Return a text in the codes of this document's subsets of a font."""
        key = (font, text)
        shown = self._shown.get(key)
        if shown is None:
            registered = pdfmetrics.getFont(font)
            shown = self._shown[key] = [
                (registered.getSubsetInternalName(subset, self._doc), escapePDF(codes))
                for subset, codes in registered.splitString(text, self._doc)
            ]
        return shown

    def lines(
        self,
        lines: Iterable[tuple[float, float, float, float]],
        *,
        width: float,
        ink: Ink = Ink.INK,
        dash: tuple[float, ...] = (),
    ) -> None:
        """Draw straight lines of one width and colour as one path."""
        high = self.height
        path = [
            f"{x:.2f} {high - y:.2f} m {x2:.2f} {high - y2:.2f} l"
            for x, y, x2, y2 in lines
        ]
        if path:
            self._pen(width, ink, dash)
            self._canvas.addLiteral(" ".join(path) + " S")

    def rect(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        fill: Ink | None = None,
        stroke: Ink | None = None,
        line: float = 1.0,
        dash: tuple[float, ...] = (),
    ) -> None:
        """Draw a rectangle from its top left corner."""
        self._prepare(fill, stroke, line, dash)
        box = f"{x:.2f} {self.height - y - height:.2f} {width:.2f} {height:.2f} re"
        self._canvas.addLiteral(f"{box} {_paint(fill, stroke)}")

    def path(
        self,
        points: Iterable[tuple[float, float]],
        *,
        closed: bool = False,
        fill: Ink | None = None,
        stroke: Ink | None = None,
        line: float = 1.0,
        dash: tuple[float, ...] = (),
    ) -> None:
        """Draw a line through points."""
        self._prepare(fill, stroke, line, dash)
        steps = [f"{x:.2f} {self.height - y:.2f}" for x, y in points]
        code = f"{steps[0]} m " + " ".join(f"{step} l" for step in steps[1:])
        end = "h " if closed else ""
        self._canvas.addLiteral(f"{code} {end}{_paint(fill, stroke)}")

    def circle(
        self,
        x: float,
        y: float,
        radius: float,
        *,
        fill: Ink | None = None,
        stroke: Ink | None = None,
        line: float = 1.0,
        dash: tuple[float, ...] = (),
    ) -> None:
        """Draw a circle around its middle."""
        self._prepare(fill, stroke, line, dash)
        self._canvas.circle(
            x, self.height - y, radius, stroke=int(bool(stroke)), fill=int(bool(fill))
        )

    def picture(
        self, picture: Picture, *, x: float, y: float, width: float, height: float
    ) -> None:
        """Place a JPEG; its file is read when the packet is saved."""
        name = picture.sha256
        known = self._doc.getXObjectName(name)
        if known not in self._doc.idToObject:
            self._doc.Reference(picture, known)
        self._canvas._formsinuse.append(name)
        self._canvas._currentPageHasImages = 1
        low = self.height - y - height
        matrix = f"{width:.2f} 0 0 {height:.2f} {x:.2f} {low:.2f} cm"
        self._canvas.addLiteral(f"q {matrix} /{known} Do Q")

    # The pen's state is said again only when it changes

    def _is_new(self, what: str, operator: str) -> bool:
        if self._state.get(what) == operator:
            return False
        self._state[what] = operator
        return True

    def _pen(self, width: float, ink: Ink, dash: tuple[float, ...]) -> None:
        pattern = f"[{' '.join(f'{step:g}' for step in dash)}] 0 d"
        for what, operator in (
            ("stroke", STROKE[ink]),
            ("width", f"{width:g} w"),
            ("dash", pattern),
        ):
            if self._is_new(what, operator):
                self._canvas.addLiteral(operator)

    def _prepare(
        self, fill: Ink | None, stroke: Ink | None, line: float, dash: tuple[float, ...]
    ) -> None:
        if fill is not None and self._is_new("fill", FILL[fill]):
            self._canvas.addLiteral(FILL[fill])
        if stroke is not None:
            self._pen(line, stroke, dash)

    # The file

    def save(self) -> None:
        """Write the document into the file, each object as it comes."""
        doc = self._doc
        for font in doc.delayedFonts:
            font.addObjects(doc)
        doc.info.invariant = doc.invariant
        doc.info.digest(doc.signature)
        doc.Reference(doc.Catalog)
        doc.Reference(doc.info)
        doc.Outlines.prepare(doc, self._canvas)
        if doc.Outlines.ready < 0:
            doc.Catalog.Outlines = None
        out = Out(self._handle)
        out.add(b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n")
        names = self._write_objects(out)
        self._write_end(out, names)

    def _write_objects(self, out: Out) -> list[str]:
        """Write every object, and those that are only asked for while writing."""
        doc = self._doc
        names: list[str] = []
        while (number := len(names) + 1) in doc.numberToId:
            name = doc.numberToId[number]
            thing = doc.idToObject[name]
            doc.idToOffset[name] = out.at
            if isinstance(thing, Picture):
                write_picture(out, number, thing)
            else:
                out.add(pdfdoc.PDFIndirectObject(name, thing).format(doc))
            names.append(name)
        return names

    def _write_end(self, out: Out, names: list[str]) -> None:
        doc, table = self._doc, out.at
        xref = pdfdoc.PDFCrossReferenceTable()
        xref.addsection(0, names)
        out.add(xref.format(doc))
        trailer = pdfdoc.PDFTrailer(
            startxref=table,
            Size=len(names) + 1,
            Root=doc.Reference(doc.Catalog),
            Info=doc.Reference(doc.info),
            ID=doc.ID(),
        )
        out.add(trailer.format(doc))


def _paint(fill: Ink | None, stroke: Ink | None) -> str:
    if fill is None:
        return "S"
    return "f" if stroke is None else "B"
