"""Which column of a list says what: our fields, the headings that they go by, and how a cell is read.

Headings are known in English, French, German, Spanish and Italian; others by what stands below them.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from studio.errors import Invalid
from studio.models import Form, HangKind, LightClass
from studio.units import parse_length, parse_weight

Read = Callable[[str, str], Any]
#: A column that is none of our fields is kept with the piece under its own heading.
KEEP = "keep"


@dataclass(frozen=True, slots=True)
class Column:
    """One of our fields: what it is called on the page, the headings that it goes by, how its cells are read."""

    name: str
    label: str
    headings: tuple[str, ...]
    read: Read
    #: Answers to choose from, where there are few.
    choices: tuple[str, ...] = ()


def plain_words(text: str) -> str:
    """A heading or an answer in small letters without accents, points and dashes: `N° d'inv.` is `n d inv`."""
    folded = unicodedata.normalize("NFKD", text[:200].lower().replace("ß", "ss"))
    return " ".join(re.sub(r"[^a-z0-9/ø#]+", " ", "".join(c for c in folded if not unicodedata.combining(c))).split())


def _text(longest: int) -> Read:
    def read(cell: str, unit: str) -> str:
        if len(cell) > longest:
            raise ValueError(f"has {len(cell)} characters; at most {longest} are kept")
        return cell

    return read


def _length(*, zero: bool = False) -> Read:
    return lambda cell, unit: parse_length(cell, unit, zero=zero) if cell else None


def _weight(cell: str, unit: str) -> float | None:
    return parse_weight(cell, "lb" if unit == "in" else "kg") if cell else None


_NO = frozenset(
    {"", "no", "n", "false", "0", "none", "unglazed", "non", "nein", "sans", "ohne", "sin", "senza", "kein"}
)
_YES = re.compile(
    r"^(?:yes|y|true|1|x|oui|ja|si|glazed|gerahmt)$"
    r"|glass|acryl|plexi|verre|glas\b|vidrio|cristal|vetro|glazing|verglast|optium|perspex"
)


def _flag(cell: str, unit: str) -> bool:
    said = plain_words(cell.replace("✓", "x").replace("✔", "x"))
    if said in _NO or said.startswith(("no ", "non ", "sans ", "ohne ", "sin ", "senza ", "kein ")):
        return False
    if _YES.search(said):
        return True
    raise ValueError(f"found “{cell}”, expected yes or no")


def _words(cell: str, unit: str) -> list[str]:
    return list(dict.fromkeys(word.strip() for word in re.split(r"[,;|]", cell) if word.strip()))


def _choice(choices: Mapping[str, str]) -> Read:
    def read(cell: str, unit: str) -> str | None:
        if not cell:
            return None
        said = cell.strip().lower().replace("_", " ")
        for value, label in choices.items():
            if said in (value.replace("_", " "), label.lower()):
                return value
        raise ValueError(f"found “{cell}”, expected one of " + ", ".join(label.lower() for label in choices.values()))

    return read


#: Usual names of hanging hardware, the first that is found decides: rings with a wire across them hang by the wire.
#: Common practice, no source.
HARDWARE: tuple[tuple[str, str], ...] = (
    (r"wire|\bfil\b|draht|alambre|\bfilo\b|\bcord|cable|seil", HangKind.WIRE),
    (r"cleat|z ?bar|z ?clip|tasseau|keilleiste|liston|listello|interlock", HangKind.CLEAT),
    (r"key ?hole|schlussello|trou de serrure|ojo de cerradura|buco di serratura", HangKind.KEYHOLES),
    (r"saw ?tooth|zacken|cremaillere|dientes? de sierra|dente di sega|dentellat", HangKind.SAWTOOTH),
    (r"rings?\b|strap|anneau|\bosen?\b|ringosen|anilla|anell", HangKind.TWO_RINGS),
)
#: Hardware that no piece's measures are kept for: its words are kept.
_OTHER_HARDWARE = re.compile(
    r"\brods?\b|\bpole\b|tringle|stange|barra|\basta\b|sleeve|magnet|\bpins?\b|easel|plinth|base"
)


def _hang_kind(cell: str, unit: str) -> str | None:
    said = plain_words(cell)
    if said.replace("_", " ") in _NO or said in ("unknown", "tbc", "tbd", "na", "n/a", "not measured", "inconnu"):
        return None
    if said in [value.replace("_", " ") for value in HangKind.values]:
        return said.replace(" ", "_")
    for words, kind in HARDWARE:
        if re.search(words, said):
            return kind
    if _OTHER_HARDWARE.search(said):
        return None
    raise ValueError(f"found “{cell}”, expected wire, rings, sawtooth, cleat, keyholes, rod or none")


#: Words of a medium, the first that is found decides. Common practice, no source.
MEDIA: tuple[tuple[str, str], ...] = (
    (r"mirror|looking.?glass|miroir|spiegel|espejo|specchio", Form.MIRROR),
    (r"clock|horloge|pendule|\buhr|reloj|orologio", Form.CLOCK),
    (r"basket|panier|korb|cesta|cesto", Form.BASKET),
    (r"photo|foto|gelatin silver|c-?print|inkjet|daguerreotype|albumen|cyanotype|chromogenic", Form.PHOTOGRAPH),
    (
        r"etching|engrav|litho|lito|screen.?print|serigra|siebdruck|woodcut|holzschnitt|linocut|linol|aquatint|mezzotint|"
        r"giclee|poster|print|gravure|eau.forte|estampe|radierung|kupferstich|grabado|aguafuerte|incisione|acquaforte|affiche",
        Form.PRINT,
    ),
    (
        r"tapestry|textile|woven|wool|silk|quilt|embroider|linen thread|batik|tapisserie|textil|teppich|tapiz|"
        r"arazzo|tessuto|laine|wolle|lana",
        Form.TEXTILE,
    ),
    (r"watercolou?r|aquarel|acuarela|acquerello", Form.PAINTING),
    (
        r"charcoal|pencil|graphite|chalk|pastel|\bink\b|drawing|conte|crayon|dessin|fusain|zeichnung|kohle|kreide|tusche|"
        r"bleistift|dibujo|carboncillo|lapiz|tinta|disegno|carboncino|matita|inchiostro|encre",
        Form.DRAWING,
    ),
    (
        r"\boil|acrylic|tempera|gouache|encaustic|enamel|painting|canvas|mixed media|huile|acryl|peinture|toile|\bol\b|"
        r"gemalde|leinwand|oleo|acrilic|pintura|lienzo|olio|dipinto|\btela\b|technique mixte|mischtechnik|tecnica mi",
        Form.PAINTING,
    ),
    (r"relief|relieve|rilievo|plaster|carved", Form.RELIEF),
    (
        r"sculpt|skulptur|escultura|scultura|bronze|bronce|bronzo|ceramic|keramik|ceramique|object|objet|objekt|objeto|"
        r"oggetto|metal|wood|\bbois\b|\bholz|madera|legno|stoneware|porcelain",
        Form.OBJECT,
    ),
)
_ON_PAPER = (Form.PHOTOGRAPH, Form.PRINT, Form.DRAWING, Form.TEXTILE)
_PAPER = re.compile(
    r"paper|papier|papel|carta\b|watercolou?r|aquarel|acuarela|acquerello|gouache|photo|foto|gelatin|textile|wool|silk|"
    r"tapestry|print|pastel|ink\b|gravure|radierung|grabado|incisione|tapisserie"
)


def form_of(medium: str) -> str | None:
    """The form that a medium's words name, or None."""
    said = plain_words(medium)
    if said in Form.values:
        return said
    return next((form for words, form in MEDIA if re.search(words, said)), None)


def light_of(medium: str) -> str:
    """What light a medium bears: works on paper, photographs and textiles are sensitive."""
    paper = form_of(medium) in _ON_PAPER or _PAPER.search(plain_words(medium))
    return LightClass.SENSITIVE if paper else LightClass.MODERATE


COLUMNS: tuple[Column, ...] = (
    Column(
        "code",
        "Inventory number",
        (
            *(
                "code",
                "id",
                "inventory",
                "inventory number",
                "inventory no",
                "inv",
                "inv no",
                "number",
                "no",
                "nr",
                "#",
            ),
            *("object number", "object id", "ref", "reference", "accession number", "item", "item no", "stock no"),
            *(
                "n",
                "numero",
                "numero d inventaire",
                "n d inventaire",
                "n inv",
                "inventarnummer",
                "inventar nr",
                "nummer",
            ),
            *("lfd nr", "numero de inventario", "n de inventario", "numero di inventario", "n inventario", "codice"),
            *("codigo", "kennung"),
        ),
        _text(60),
    ),
    Column(
        "title",
        "Title",
        (
            *(
                "title",
                "name",
                "work",
                "piece",
                "artwork",
                "description",
                "work title",
                "title of work",
                "subject title",
            ),
            *("titre", "oeuvre", "titel", "werk", "bezeichnung", "titulo", "obra", "titolo", "opera", "designation"),
        ),
        _text(200),
    ),
    Column(
        "maker",
        "Maker",
        (
            *("maker", "artist", "author", "creator", "by", "photographer", "made by", "artist name", "artist/maker"),
            *("artiste", "auteur", "kunstler", "kunstlerin", "urheber", "artista", "autor", "autore", "kunstler/in"),
        ),
        _text(120),
    ),
    Column(
        "form",
        "Form or medium",
        (
            *(
                "form",
                "medium",
                "media",
                "type",
                "kind",
                "technique",
                "classification",
                "category",
                "materials",
                "material",
            ),
            *("support", "materiau", "matiere", "technik", "gattung", "tecnica", "materiale", "tipo", "medio", "art"),
        ),
        _text(200),
    ),
    Column("medium", "Medium, in words", ("medium in words",), _text(200)),
    Column(
        "size",
        "Framed size, in one cell",
        (
            *("size", "dimensions", "dimension", "measurements", "framed size", "framed dimensions", "h x w", "w x h"),
            *("overall size", "overall dimensions", "outer size", "dims", "size framed", "dimensions framed"),
            *("dimensions encadrees", "dimensions avec cadre", "format", "taille", "masse", "rahmenmass", "aussenmass"),
            *("grosse", "abmessungen", "masse gerahmt", "medidas", "dimensiones", "medidas con marco", "tamano"),
            *("dimensioni", "misure", "dimensioni con cornice", "framed size", "framed dimensions"),
        ),
        _text(2000),
    ),
    Column(
        "image_size",
        "Size without frame, in one cell",
        (
            *(
                "image size",
                "unframed size",
                "sheet size",
                "sight size",
                "canvas size",
                "picture size",
                "image dimensions",
            ),
            *(
                "unframed dimensions",
                "unframed",
                "image",
                "dimensions sans cadre",
                "bildmass",
                "blattmass",
                "bildgrosse",
            ),
            *("medidas sin marco", "dimensioni senza cornice", "unframed size", "size unframed", "dimensions unframed"),
        ),
        _text(2000),
    ),
    Column(
        "width_mm",
        "Width",
        (
            *("width", "w", "wide", "framed width", "overall width", "framed w", "outer width", "width framed"),
            *("largeur", "larg", "breite", "br", "ancho", "anchura", "larghezza", "framed largeur", "framed breite"),
            *("framed ancho", "framed larghezza", "framed l", "framed b"),
        ),
        _length(),
    ),
    Column(
        "height_mm",
        "Height",
        (
            *("height", "h", "high", "framed height", "overall height", "framed h", "outer height", "height framed"),
            *("hauteur", "haut", "hohe", "alto", "altura", "altezza", "framed hauteur", "framed hohe", "framed alto"),
            *("framed altezza",),
        ),
        _length(),
    ),
    Column(
        "image_width_mm",
        "Width without frame",
        (
            *("image width", "unframed width", "unframed w", "sheet width", "sight width", "width unframed"),
            *(
                "unframed largeur",
                "unframed breite",
                "unframed ancho",
                "unframed larghezza",
                "unframed l",
                "unframed b",
            ),
        ),
        _length(),
    ),
    Column(
        "image_height_mm",
        "Height without frame",
        (
            *("image height", "unframed height", "unframed h", "sheet height", "sight height", "height unframed"),
            *("unframed hauteur", "unframed hohe", "unframed alto", "unframed altezza"),
        ),
        _length(),
    ),
    Column(
        "depth_mm",
        "Depth",
        (
            *("depth", "d", "deep", "thickness", "framed depth", "framed d", "profondeur", "epaisseur", "tiefe"),
            *("profundidad", "fondo", "profondita", "spessore"),
        ),
        _length(zero=True),
    ),
    Column("weight_kg", "Weight", ("weight", "mass", "wt", "poids", "gewicht", "peso"), _weight),
    Column(
        "frame",
        "Frame",
        (
            *("frame", "frame colour", "frame color", "framing", "frame type", "frame finish", "cadre", "encadrement"),
            *("rahmen", "rahmung", "marco", "cornice"),
        ),
        _text(40),
    ),
    Column(
        "frame_width_mm",
        "Width of the frame",
        (
            "frame width",
            "moulding width",
            "frame face",
            "molding width",
            "largeur du cadre",
            "rahmenbreite",
            "ancho del marco",
        ),
        _length(),
    ),
    Column(
        "mat_width_mm",
        "Width of the mat",
        ("mat", "mat width", "mount", "mount width", "marie louise", "passe partout", "passepartout", "paspartu"),
        _length(),
    ),
    Column(
        "glazed",
        "Behind glass",
        ("glazed", "glass", "glazing", "behind glass", "sous verre", "verre", "verglast", "glas", "cristal", "vetro"),
        _flag,
        ("yes", "no"),
    ),
    Column(
        "light",
        "In light",
        ("light", "light class", "light sensitivity"),
        _choice(dict(LightClass.choices)),
        tuple(str(label) for label in LightClass.labels),
    ),
    Column(
        "themes",
        "Themes",
        ("themes", "theme", "subject", "subjects", "tags", "keywords", "sujet", "thema", "tema", "soggetto"),
        _words,
    ),
    Column("set_name", "Set", ("set", "series", "pair", "group", "serie", "ensemble", "gruppe", "paar"), _text(60)),
    Column(
        "storage",
        "Kept",
        (
            *(
                "storage",
                "kept",
                "location",
                "where",
                "store",
                "current location",
                "room",
                "emplacement",
                "lieu",
                "ort",
            ),
            *(
                "standort",
                "lagerort",
                "ubicacion",
                "lugar",
                "ubicazione",
                "luogo",
                "localisation",
                "raum",
                "piece/room",
            ),
        ),
        _text(120),
    ),
    Column(
        "hang_kind",
        "Hangs by",
        (
            *("hardware", "hangs by", "hanging hardware", "hang", "hanging", "hanging system", "fixing", "fixings"),
            *("accrochage", "fixation", "systeme d accrochage", "aufhangung", "befestigung", "herraje", "colgador"),
            *("sistema de colgar", "attacco", "ganci", "sospensione"),
        ),
        _hang_kind,
        ("wire", "two rings", "sawtooth", "cleat", "keyholes", "rod", "none"),
    ),
    Column(
        "hang_below_top_mm",
        "Below the top edge",
        ("below top", "below the top edge", "drop", "wire drop"),
        _length(zero=True),
    ),
    Column("hang_inset_mm", "In from each side", ("inset", "ring inset", "in from each side"), _length(zero=True)),
    Column("hang_length_mm", "Length of the wire", ("wire length", "length of the wire", "wire"), _length()),
    Column("hang_spacing_mm", "Between the points", ("spacing", "ring spacing", "between the points"), _length()),
    Column(
        "insured",
        "Insured value",
        (
            *("insured value", "insurance value", "insurance", "value", "valuation", "ins value", "price", "valeur"),
            *("valeur d assurance", "versicherungswert", "wert", "valor", "valor asegurado", "valor de seguro"),
            *("valore", "valore assicurato", "valore assicurativo", "replacement value"),
        ),
        _text(60),
    ),
    Column(
        "owner",
        "Owner",
        ("owner", "owned by", "lender", "proprietaire", "eigentumer", "besitzer", "propietario", "proprietario"),
        _text(200),
    ),
    Column(
        "provenance",
        "Provenance",
        ("provenance", "acquired from", "source", "herkunft", "provenienz", "procedencia", "provenienza"),
        _text(2000),
    ),
    Column(
        "notes",
        "Notes",
        (
            *("notes", "note", "remarks", "comments", "comment", "remarques", "bemerkungen", "anmerkungen", "notizen"),
            *("observaciones", "notas", "osservazioni", "condition", "observations"),
        ),
        _text(2000),
    ),
)
BY_NAME: Mapping[str, Column] = {column.name: column for column in COLUMNS}
#: Columns whose words are kept with the piece, under their own labels.
KEPT_WORDS = ("insured", "owner", "provenance", "notes")
_UNIT_IN_HEADING = re.compile(r"[\[(_ ,/](in|inches|cm|mm|lb|lbs|kg)[\])]?\.?$")


def guess(headings: Sequence[str], rows: Sequence[Sequence[str]] = (), *, exact: bool = False) -> dict[int, str]:
    """Column number -> our field, for headings that say plainly what they are, each field once.

    Args:
        rows: what stands below: columns that say by it what they are get their field, others that are filled are kept
            under their own heading.
        exact: no misspelt headings.
    """
    said = [plain_words(_UNIT_IN_HEADING.sub("", heading.strip().lower())) for heading in headings]
    chosen: dict[int, str] = {}
    for close in (1.0,) if exact else (1.0, 0.85):
        for index, words in enumerate(said):
            if index in chosen or not words or len(words) > 40:
                continue
            for column in COLUMNS:
                if column.name not in chosen.values() and _is_like(words, column.headings, close):
                    chosen[index] = column.name
                    break
    for index in range(len(headings)):
        cells = [row[index] for row in rows[:60] if index < len(row) and row[index]]
        if index not in chosen and cells:
            chosen[index] = _by_example(cells, chosen.values()) or KEEP
    return chosen


def _is_like(words: str, headings: Sequence[str], close: float) -> bool:
    if close == 1.0 or len(words) < 4:
        return words in headings
    return bool(difflib.get_close_matches(words, headings, n=1, cutoff=close))


_LOOKS: tuple[tuple[str, str], ...] = (
    ("size", r"^\D{0,12}\d[\d.,/ ½¼¾⅛⅜⅝⅞\"']*(?:cm|mm|in|inches)?\.? *(?:[x×] *\d|dia|ø)|^ø"),
    ("weight_kg", r"^\d[\d.,]* *(?:kg|lbs?|pounds)\b"),
    ("insured", r"^(?:[€£$¥]|eur|usd|gbp|chf)\s*\d|\d\s*(?:[€£$¥]|eur|usd|gbp|chf)$"),
    ("hang_kind", r"^(?:d ?-?rings?|wire|(?:french )?cleat|saw ?tooth|key ?holes?|z ?-?(?:bar|clip))\b"),
    (
        "form",
        r"\b(?:oil|acrylic|gouache|watercolou?r|ink|pastel) on \w|huile sur|öl auf|óleo sobre|olio su|gelatin silver",
    ),
)


def _by_example(cells: Sequence[str], taken: Any) -> str:
    """The field that most of these cells look like."""
    for name, look in _LOOKS:
        alike = sum(bool(re.search(look, cell[:80].lower())) for cell in cells)
        if name not in taken and alike * 10 >= len(cells) * 6:
            return name
    return ""


def unit_of_heading(heading: str) -> str | None:
    """in, cm or mm where a heading names it: `Width (cm)`."""
    match = _UNIT_IN_HEADING.search(heading.strip().lower())
    if match is None or match[1] in ("lb", "lbs", "kg"):
        return None
    return "in" if match[1] == "inches" else match[1]


def weight_unit_of_heading(heading: str) -> str | None:
    match = _UNIT_IN_HEADING.search(heading.strip().lower())
    return None if match is None else {"lb": "lb", "lbs": "lb", "kg": "kg"}.get(match[1])


def check_mapping(mapping: Mapping[int, str], columns: int) -> None:
    """Refuse a mapping that cannot make pieces of rows.

    Raises:
        Invalid: with what is missing or said twice.
    """
    names = [name for name in mapping.values() if name and name != KEEP]
    faults = []
    for name in sorted({name for name in names if names.count(name) > 1}):
        faults.append(
            {"where": BY_NAME[name].label if name in BY_NAME else name, "detail": "is chosen for two columns"}
        )
    if any(name not in BY_NAME for name in names) or any(not 0 <= index < columns for index in mapping):
        faults.append({"where": "", "detail": "there is no such column"})
    if "title" not in names:
        faults.append({"where": "Title", "detail": "choose the column that says it"})
    pairs = ({"width_mm", "height_mm"}, {"image_width_mm", "image_height_mm"})
    if not {"size", "image_size"} & set(names) and not any(pair <= set(names) for pair in pairs):
        faults.append({"where": "Size", "detail": "choose one column for the size, or one each for width and height"})
    if faults:
        raise Invalid("Some columns still need a choice.", faults=faults)
