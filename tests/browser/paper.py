"""A page printed, and its words read back with their places."""

import html
import re
import subprocess

from browser.conftest import path_of

WORD = re.compile(r'<word [^>]*yMin="([\d.]+)"[^>]*yMax="([\d.]+)">(.*?)</word>')
PAGE = re.compile(r'<page [^>]*height="([\d.]+)">(.*?)</page>', re.DOTALL)


def printed(page, path, size):
    """The file that the browser prints."""
    page.pdf(path=path, format=size, print_background=True)
    return path


def words_by_page(path):
    """Of each page its height and its words with their lower edge, in points."""
    reader = path_of("pdftotext", "paper cannot be read")
    read = subprocess.run(
        [reader, "-bbox", str(path), "-"], capture_output=True, check=True, text=True
    )
    return [
        (float(height), [(float(low), html.unescape(word)) for _, low, word in WORD.findall(words)])
        for height, words in PAGE.findall(read.stdout)
    ]


def text_of(path, page_number, *options):
    """The text of one page as it is read, in one line."""
    reader = path_of("pdftotext", "paper cannot be read")
    number = str(page_number)
    read = [reader, "-enc", "UTF-8", *options, "-f", number, "-l", number, str(path), "-"]
    return subprocess.run(read, capture_output=True, check=True, text=True).stdout


def last_line(path, page_number):
    """The last line of a page above its number."""
    lines = [line.strip() for line in text_of(path, page_number, "-layout").splitlines()]
    return [line for line in lines if line and not re.fullmatch(r"\d+ of \d+\f?", line)][-1]
