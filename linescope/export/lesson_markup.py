"""What the pages of all lessons have: question, setup, what is shown, the presenter's bar, answer, what it rests on."""

from __future__ import annotations

from collections.abc import Mapping

from linescope.export.page_frame import held, opening, roles, running, safe
from linescope.viewer import bundle
from linescope.words import Words

SAY = ("show", "answer", "play", "stop")
"""Words that the script puts on buttons."""


def buttons(words: Words) -> dict[str, str]:
    """Those words."""
    return {each: words.say(f"lessons-page-{each}") for each in SAY}


def lesson_html(
    name: str, words: Words, *, setup: str, along: str, rests: str, keys: str, shown: str, knobs: str, answer: str,
    data: Mapping[str, bytes],
) -> str:
    """A whole page.

    Parameters
    ----------
    name : str
        Its messages begin with it.
    words : Words
    setup, along, rests, keys : str
        Plain text: the line, what the time slider runs along, what the answer rests on, the keys.
    shown, knobs, answer : str
        HTML: the canvases, what stands in the bar behind the time slider, what the answer's section has.
    data : mapping of str to bytes
        What the script reads, by the element it stands in.

    Raises
    ------
    MissingViewerError
        When there is no viewer to show it with.
    """
    built, say = bundle(), words.say
    style = roles() + built.style
    scripts = "\n".join(held(key, value) for key, value in data.items())
    # What an answer rests on may give it away: it is seen once something is shown.
    return f"""{opening(say(f"{name}-question"), style, built.script, words)}
<body data-step="ask">
<h1>{safe(say(f"{name}-question"))}</h1>
<p id="setup">{safe(setup)}</p>
{shown}
<p class="spoken" id="told" aria-live="polite"></p>
<div id="lessonbar"><button type="button" id="back">{safe(say("lessons-page-back"))}</button>
<button type="button" id="next"></button>
<div id="bar"><button type="button" id="run"></button>
<input type="range" id="time" min="0" step="1" aria-label="{safe(along)}">
<span id="moment"></span></div>
{knobs}</div>
<p id="keys">{safe(keys)}</p>
<section id="answer"><p id="asked">{safe(say(f"{name}-ask-text"))}</p>
{answer}</section>
<p id="lessonfoot">{safe(say("lessons-basis"))} <span id="rests">{safe(rests)}</span></p>
<p class="alarm" id="needs">{safe(say("page-needs-script"))}</p>
{scripts}
{running(built.script)}
</body>
</html>
"""
