"""Three workbooks as clients keep them, all invented: an insurer's schedule, a family's list in three languages, and a
framer's list. Built by `openpyxl`, apart from the reader; beside each stands what a person reads in it."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from typing import Any

from openpyxl import Workbook
from openpyxl.styles import Font


def _saved(book: Workbook) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _filled(sheet: Any, rows: Iterable[Sequence[Any]]) -> None:
    for row in rows:
        sheet.append(list(row))


def insurers_schedule() -> bytes:
    """Title lines, merged groups over the headings, rooms between the rows, a subtotal, a total, a note.

    The list is the second sheet, the first a cover. Values are numbers that only their format calls dollars.
    """
    book = Workbook()
    book.active.title = "Cover"
    _filled(book.active, [["Schedule of fine art"], ["Prepared for the Harrow Lane house"], ["12 March 2026"]])
    sheet = book.create_sheet("Schedule")
    _filled(
        sheet,
        [
            ["SCHEDULE OF FINE ART"],
            ["Policy year 2026, all sizes in inches"],
            [],
            [None, None, None, None, "Image", None, "Framed", None, None, None],
            ["Inv. No.", "Artist", "Title", "Medium", "H", "W", "H", "W", "Hanging", "Insured value"],
            ["ENTRY HALL"],
            ["HL-001", "Orla Venn", "Tidal Grid", "Oil on linen", 30, 40, 32.5, 42.5, "D-rings & wire", 4500],
            ["HL-002", "Orla Venn", "Low Water", "Etching", 10, "8 1/4", None, None, "D rings", 900],
            [None, None, None, None, None, None, None, None, "Subtotal", 5400],
            [],
            ["DINING ROOM"],
            ["HL-003", "T. Asaro", "Saddle Road", "Wool tapestry", 60, 48, 60, 48, "rod pocket", 12000],
            ["HL-004", "T. Asaro", "Untitled (fold)", "salvaged rope and wax", 24, 24, 24, 24, "French cleat", 3000],
            [None, None, None, None, None, None, None, None, "TOTAL", 20400],
            [],
            ["Values as agreed with the broker; HL-003 to be re-appraised."],
        ],
    )  # fmt: skip
    sheet.merge_cells("A1:J1")
    sheet.merge_cells("E4:F4")
    sheet.merge_cells("G4:H4")
    sheet["A1"].font = Font(bold=True)
    for row in (7, 8, 9, 12, 13, 14):
        sheet.cell(row, 10).number_format = '"$"#,##0'
    return _saved(book)


def familys_list(language: str) -> bytes:
    """The same pieces under French, German, Spanish or Italian headings, sizes and hardware as people write them."""
    headings = {
        "fr": "N° d'inventaire|Artiste|Titre|Technique|Dimensions sans cadre|Marie-louise|Poids|Emplacement|Accrochage|"
        "Propriétaire",
        "de": "Inventarnummer|Künstler|Titel|Technik|Maße|Passepartout|Gewicht|Standort|Aufhängung|Eigentümer",
        "es": "Nº de inventario|Autor|Título|Técnica|Medidas|Paspartú|Peso|Ubicación|Herraje|Propietario",
        "it": "N. inventario|Artista|Titolo|Tecnica|Dimensioni|Passepartout|Peso|Ubicazione|Attacco|Proprietario",
    }[language].split("|")
    cells = {
        "fr": ("huile sur toile|H 61 L 91|fil|Salon", "eau-forte|30 x 24|anneaux|Couloir"),
        "de": ("Öl auf Leinwand|H 61 B 91|Draht|Wohnzimmer", "Radierung|30 x 24|Ringösen|Flur"),
        "es": ("óleo sobre lienzo|Alto 61 Ancho 91|alambre|Salón", "grabado|30 x 24|anillas|Pasillo"),
        "it": ("olio su tela|H 61 L 91|filo|Salone", "acquaforte|30 x 24|anelli|Corridoio"),
    }[language]
    book = Workbook()
    sheet = book.active
    rows: list[list[Any]] = [["Collection"], [], headings]
    for number, (medium, size, hanging, place) in enumerate((one.split("|") for one in cells), 1):
        work = [f"{number:03}", "Lune Harcastel", f"Étude {number}", medium, f"{size} cm", 5, "4,5 kg"]
        rows.append([*work, place, hanging, "M. H."])
    rows.append([])
    rows.append(headings)  # a second printed page
    rows.append(["003", "Lune Harcastel", "Rond", cells[0].split("|")[0], "40 cm Ø", None, None, None, None, None])
    rows.append(["Total", None, None, None, None, None, "9 kg", None, None, None])
    _filled(sheet, rows)
    return _saved(book)


def framers_list() -> bytes:
    """No numbers, headings of the framer's own, the frame in the size's own words, colours of rows as meaning, an empty
    column between, free columns, and work that is not done yet."""
    book = Workbook()
    sheet = book.active
    _filled(
        sheet,
        [
            ["Job list, spring", None, None, None, None, None, None],
            ["Work", "By", None, "Finished to", "Fixings fitted", "Ready?", "Glazing"],
            ["Marram", "Ruta Okonjo", None, "24 x 36 in (framed)", "Saw tooth", "yes", "museum glass"],
            ["Slack Water", "Ruta Okonjo", None, "16 x 20 in (unframed)", "keyhole plates", "no", "none"],
            ["Round mirror", None, None, "40 cm dia", "Z-bar", "yes", "-"],
            ["Headland", "Ruta Okonjo", None, "tbc", "hung somehow", "no", "acrylic"],
            ["4 pieces", None, None, None, None, None, None],
        ],
    )
    return _saved(book)
