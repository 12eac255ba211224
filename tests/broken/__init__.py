"""A corpus of broken input: every case ends with a clear error, exit status 2, and nothing half-written.

`python -m tests.broken` counts the cases by kind; with the name of a kind it prints their messages, to be read.
"""

from tests.broken import grounds, keys, lines, sizes, texts

KINDS = {
    "keys": keys.cases, "texts": texts.cases, "grounds": grounds.cases, "lines": lines.cases, "sizes": sizes.cases,
}
