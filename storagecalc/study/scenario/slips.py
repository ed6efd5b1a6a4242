"""What people write that TOML does not read: decimal commas, curly quotes, units, bare words.

Each slip is told with its line and the right way to write it, and put right, so that all else in
the file is checked as well.
"""

import re
from dataclasses import dataclass

from storagecalc.study.scenario.readings import MARKED, two_readings

BLANKS = " \u00a0\u2009\u202f"
SLIP = re.compile(
    rf"""(?P<kept>\#[^\n]*|\"{{3}}[\s\S]*?\"{{3}}|'{{3}}[\s\S]*?'{{3}}
        |\"(?:\\.|[^\"\\\n])*\"|'[^'\n]*')
    |(?P<curly>[“”„‟«»][^\n]{{0,500}}?[“”‟«»\"]|[‘’‚‛‹›][^\n]{{0,500}}?[‘’‛‹›']|["'][^\n"']*?[“”‟’‛])
    |(?<==)(?P<gap>[ \t]*)(?:
        (?:(?P<coin>[€£$¥]|[A-Z]{{3}}(?=[{BLANKS}]))[{BLANKS}]*(?=\d))?(?:(?P<date>\d{{1,4}}(?:[./-]\d{{1,4}}){{1,2}})
        |(?P<sign>[-+−–‒]?)(?!0[xob])(?P<number>\.?\d(?:[\d.,'’_{BLANKS}]*\d)?)
            (?P<unit>[{BLANKS}]*(?:%|[^\W\d_]+(?:/[^\W\d_]+)?|[€£$¥]))?
        |(?P<word>[^\W\d_][\w .-]*[\w.-]|[^\W\d_])
        ))(?=[ \t\r]*(?:[\n}}\]\#]|,(?!\d)|\Z))""",
    re.VERBOSE,
)
VALID_NUMBER = re.compile(r"(?:0|[1-9]\d*(?:_\d+)*)(?:\.\d+(?:_\d+)*)?")
VALID_WORDS = ("true", "false", "inf", "nan")
TRUTHS = {"yes": "true", "on": "true", "no": "false", "off": "false"}
DATE_RULE = "a date is year, month, day with hyphens"
OPEN_RULES = ("may be read", "is no day")


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """One slip: where its value begins in the text put right, as written, the rule.

    ``open`` where it may be read in two ways: then nothing more can be said of the value. ``word``
    where it is a word without quotes: what else is said of the value says more.
    """

    start: int
    line: int
    raw: str
    rule: str
    open: bool
    word: bool


def put_right(text: str) -> tuple[str, list[Slip]]:
    """A text without such slips, lines as they were, and the slips."""
    slips: list[Slip] = []
    parts: list[str] = []
    length, end, line = 0, 0, 1
    for found in SLIP.finditer(text):
        right, rule = _right(found)
        line += text.count("\n", end, found.start())
        gap = found["gap"] or ""
        parts += [text[end : found.start()], gap]
        length += found.start() - end + len(gap)
        raw = found.group()[len(gap) :]
        if rule:
            slips.append(
                Slip(
                    start=length,
                    line=line,
                    raw=raw,
                    rule=rule,
                    open=rule.startswith(OPEN_RULES),
                    word=found["word"] is not None,
                )
            )
        parts.append(right if rule else raw)
        length += len(parts[-1])
        line += found.group().count("\n")
        end = found.end()
    return "".join([*parts, text[end:]]), slips


def _right(found: re.Match[str]) -> tuple[str, str]:
    """How a piece is written in TOML, and the rule for it; no rule where it is right as it is."""
    if found["kept"] is not None:
        return found.group(), ""
    if found["curly"] is not None:
        right = '"' + found["curly"][1:-1].replace("\\", "\\\\").replace('"', '\\"') + '"'
        return right, f"write {right} with the straight quotes of the keyboard"
    if found["date"] is not None and not VALID_NUMBER.fullmatch(found["date"]):
        date = _date(found["date"])
        if date is not None:
            return date
    if found["word"] is not None:
        return _word(found["word"])
    number = found["date"] if found["number"] is None else found["number"]
    unit = (found["coin"] or found["unit"] or "").strip(BLANKS)
    return _number(found["sign"] or "", number, unit)


def _word(word: str) -> tuple[str, str]:
    if word in VALID_WORDS:
        return word, ""
    truth = TRUTHS.get(word.casefold(), word.casefold())
    if truth in ("true", "false"):
        return truth, f"write {truth}: yes and no are true and false, in lower case"
    return f'"{word}"', f'write "{word}" in quotes: text has quotes around it'


def _date(raw: str) -> tuple[str, str] | None:
    """A date in another order; None where it is none."""
    parts = re.split(r"[./-]", raw)
    sizes = [len(part) for part in parts]
    if sizes == [4, 2, 2] and raw.count("-") == 2 and int(parts[1]) <= 12:
        return raw, ""
    if sizes[0] == 4 and max(sizes[1:]) <= 2:
        year, month, day = (*parts, "1")[:3]
    elif len(parts) == 3 and sizes[2] == 4 and max(sizes[:2]) <= 2:
        day, month, year = parts
        if "/" in raw and int(month) > 12:
            day, month = month, day
        elif "/" in raw and day != month and int(day) <= 12:
            first, second = (f"{year}-{int(one):02}-{int(other):02}" for one, other in
                             ((day, month), (month, day)))  # fmt: skip
            return first, f"may be read in two ways: write {first} or {second}; {DATE_RULE}"
    else:
        return None
    if not (1 <= int(month) <= 12 and 1 <= int(day) <= 31):
        return "2027-01-01", f"is no day: {DATE_RULE}, such as 2027-01-31"
    right = f"{year}-{int(month):02}-{int(day):02}"
    return right, f"write {right}: {DATE_RULE}"


def _number(sign: str, raw: str, unit: str) -> tuple[str, str]:
    """A number with whatever is around and inside it."""
    minus = "-" if sign in "-−–‒" and sign else ""
    exact = f"{minus}{_plain_number(raw)}"
    if not unit and VALID_NUMBER.fullmatch(raw):
        if sign in ("", "-", "+"):
            return sign + raw, ""
        return exact, f"write {exact} with the minus of the keyboard"
    if exact.endswith("?"):
        return raw, ""
    if "," in raw and MARKED.fullmatch(raw):
        return exact, two_readings(raw)
    if unit == "%":
        share = f"{float(exact) / 100:.10g}"
        return share, f"write {share}: a share is written from 0 to 1"
    why = "the key says the unit" if unit else "a point before the decimals, no mark for thousands"
    return exact, f"write {exact}: {why}"


def _plain_number(raw: str) -> str:
    """A number with a point before its decimals and no other mark; "?" where that is not clear."""
    digits = re.sub(rf"(?<=\d)['’_{BLANKS}](?=\d{{3}}(?:\D|$))", "", raw)
    marks = re.sub(r"\d", "", digits)
    if marks and (marks.strip(",.") or len(set(marks[:-1])) > 1):
        return "?"
    if len(marks) > 1:
        thousands, decimals = digits.replace(marks[0], ""), ""
        if marks[-1] != marks[0]:
            thousands, _, decimals = thousands.partition(marks[-1])
        groups = re.fullmatch(rf"\d{{1,3}}(?:[{marks[0]}]\d{{3}})+(?:[.,]\d+)?", digits)
        if groups is None:
            return "?"
        return f"{thousands}.{decimals}" if decimals else thousands
    whole, _, decimals = digits.replace(",", ".").partition(".")
    whole = whole.lstrip("0") or "0"
    return f"{whole}.{decimals}" if decimals else whole
