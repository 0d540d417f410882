"""Checks the words of a sheet, as pdftotext finds them, against its pages and the stations of the class."""

import csv
import html
import re
import sys

words, table, fonts = sys.argv[1:]
text = open(words, encoding="utf-8").read()
found = []
for page in re.findall(r"<page .*?</page>", text, re.S):
    width, height = map(float, re.search(r'<page width="([\d.]+)" height="([\d.]+)"', page).groups())
    there = []
    for place, word in re.findall(r'<word (.*?)>(.*?)</word>', page):
        left, top, right, bottom = map(float, re.findall(r'="(-?[\d.]+)"', place))
        assert 0 <= left < right <= width and 0 <= top < bottom <= height, f"{word} is outside its page"
        found.append(html.unescape(word))
        # The box of a word is higher than its letters: a quarter at the top and at the bottom is empty.
        air = (bottom - top) / 4
        for other, (l, t, r, b) in there:
            over = left < r - 0.5 and l < right - 0.5 and top + air < b and t < bottom - air
            assert not over, f"{word} overlaps {other}"
        there.append((word, (left, top + air, right, bottom - air)))
sizes = [float(size) for size in re.findall(r'<fontspec [^>]*size="([\d.]+)"', open(fonts, encoding="utf-8").read())]
assert sizes and min(sizes) >= 14, f"letters of {min(sizes)} points"
words_there = set(found)
rows = list(csv.DictReader(open(table, newline="", encoding="utf-8")))
assert rows and all(len(row) == 12 and None not in row for row in rows), "a row of another length"
for row in rows:
    # Word by word, because a long name continues on the next line.
    for word in row["movement"].lstrip("'").split():
        assert word in words_there, f"{word} of {row['movement']} is not on the sheet"
