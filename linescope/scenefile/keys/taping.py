"""Keys of the tape plan, the tape, its hold, joints and ties."""

from __future__ import annotations

from linescope.scenefile.fields import Flag, OneOf, Whole
from linescope.scenefile.groups import KeyGroup, Repeat
from linescope.scenefile.quantities import Measure, Series
from linescope.taping import FAMILIES

HOLD_PARTS: dict[str, Measure] = {
    "drag": Measure(
        help="Force at which a tape slips with no weight on it: glue bleed, tight wrap.  "
        'Hang a small weight on a sample tape; what it just carries may be written as that weight, such as "20 gf".',
        dimension="force",
        low="0 N",
        high="5 kN",
        spread=0.8,
        example="0.5 N",
    ),
    "friction": Measure(
        help="Coefficient of friction of the line that slides.",
        dimension="number",
        low="0",
        high="1.5",
        spread=0.4,
        example=0.25,
    ),
}

SPACING = KeyGroup(
    help="Where the tapes sit: every (even), every with spread (irregular), pattern (bays repeated) or "
    "listed (distances from anchor A).",
    required=True,
    fields={
        "every": Measure(
            help="The bay; with 'spread' the mean bay.",
            example="3 m",
            dimension="length",
            low="10 cm",
            high="200 m",
        ),
        "spread": Measure(
            help="Irregular bays: half-width of the variation.",
            example="30 %",
            dimension="ratio",
            low="0 %",
            high="90 %",
            banded=False,
        ),
        "seed": Whole(
            help="Which one of the irregular plans, the same every time.", default=1, low=0, high=2**31 - 1
        ),
        "pattern": Series(
            help="Bays, repeated in this order.",
            example=["2.5 m", "3.5 m"],
            item=Measure(help="", dimension="length", low="10 cm", high="200 m"),
            longest=500,
        ),
        "listed": Series(
            help="Distances of all tapes of the zone from anchor A.",
            example=["2 m", "5 m", "9 m"],
            item=Measure(help="", dimension="length", low="0 m", high="5 km"),
        ),
    },
    exactly_one=(("every", "pattern", "listed"),),
    needs={"spread": "every", "seed": "spread"},
    inline=True,
)

ZONE = KeyGroup(
    help="A stretch of the line taped one way, in order from anchor A.",
    fields={
        "from": Measure(
            help="Where the zone begins, from anchor A; left out: where the last one ended.",
            example="0 m",
            dimension="length",
            low="0 m",
            high="5 km",
            banded=False,
        ),
        "to": Measure(
            help="Where it ends; left out: at anchor B.",
            example="12 m",
            dimension="length",
            low="0 m",
            high="5 km",
            banded=False,
        ),
        "style": OneOf(
            help="The family of tape.", required=True, example="fixed wrap", options=tuple(FAMILIES)
        ),
        "holds": OneOf(
            help="The line the tape grips, where the family can grip either.",
            example="main",
            options=("both", "main", "backup"),
        ),
        "spacing": SPACING,
        "excess": Measure(
            help="Excess in this zone, instead of the backup's.",
            example="5 %",
            dimension="ratio",
            low="-5 %",
            high="100 %",
            spread=0.2,
        ),
        "hold": KeyGroup(
            help="Hold of the tapes in this zone, instead of [hold].", fields=HOLD_PARTS, inline=True
        ),
    },
)

TAPING = KeyGroup(
    help="The tape plan.",
    required=True,
    fields={
        "measured_on": OneOf(
            help="State of the main that all distances, spacings and the excess refer to: taping on "
            "slack webbing and then tensioning it eats the excess.",
            required=True,
            example="slack",
            options=("slack", "tensioned"),
        ),
        "tension": Measure(
            help='For "tensioned": tension of the main while marking; left out: the standing tension.',
            example="0.3 kN",
            dimension="force",
            low="0 N",
            high="100 kN",
            spread=0.2,
        ),
        "tape_mass": Measure(
            help="Mass of one finished tape.",
            default="2 g",
            dimension="mass",
            low="0 g",
            high="500 g",
            spread=0.5,
        ),
        "zones": Repeat(help=ZONE.help, required=True, item=ZONE, shortest=1),
    },
)

TAPE = KeyGroup(
    help="The tapes as you buy and wind them: thin strong tape for wraps, sliders and tucked tabs, cloth for patches.",
    when_absent="defaults",
    fields={
        "width": Measure(
            help="Width of the thin tape.", default="25 mm", dimension="length", low="5 mm", high="150 mm"
        ),
        "thickness": Measure(
            help="Thickness of the thin tape.", default="0.13 mm", dimension="length", low="0.02 mm", high="3 mm",
        ),
        "roll": Measure(
            help="Length of it on a new roll.", default="25 m", dimension="length", low="50 cm", high="1 km"
        ),
        "cloth_width": Measure(
            help="Width of the cloth tape for patches.", default="38 mm", dimension="length", low="5 mm",
            high="150 mm",
        ),
        "cloth_thickness": Measure(
            help="Thickness of the cloth tape.", default="0.25 mm", dimension="length", low="0.02 mm", high="3 mm",
        ),
        "cloth_roll": Measure(
            help="Length of it on a new roll.", default="25 m", dimension="length", low="50 cm", high="1 km"
        ),
        "wraps": Measure(
            help="Full turns round the two lines.", default=4, dimension="number", low="1", high="20"
        ),
        "waste": Measure(help="Extra tape.", default="10 %", dimension="ratio", low="0 %", high="300 %"),
        "pace_fixed": Measure(
            help="Time for one tape that grips both lines.",
            default="45 s",
            dimension="time",
            low="1 s",
            high="1 h",
        ),
        "pace_slider": Measure(
            help="Time for one tape of a single strip that lets a line slide.",
            default="75 s",
            dimension="time",
            low="1 s",
            high="1 h",
        ),
        "pace_patch": Measure(
            help="Time for one tape with a cross piece.", default="135 s", dimension="time", low="1 s", high="1 h",
        ),
        "margin": Measure(
            help="By how much a dry part reaches beyond what it must cover, at each end.",
            default="4 mm",
            dimension="length",
            low="0 mm",
            high="50 mm",
        ),
        "finish": OneOf(
            help="Cut strips to end in the middle of the underside, or for whole wraps.",
            default="underneath",
            options=("underneath", "as wrapped"),
        ),
        "short_end": Measure(
            help="Short end of a strip that encloses the held line; left out: from the lines' sizes.",
            example="45 mm", dimension="length", low="10 mm", high="30 cm", banded=False,
        ),
        "measured_turn": Measure(
            help="Thin tape wound once round the two lines lying bare on each other, pulled as you pull it, to where "
            "it meets its beginning: corrects all strips.",
            example="61 mm", dimension="length", low="15 mm", high="60 cm", banded=False,
        ),
        "first": KeyGroup(
            help="A first tape that was wound and looked at: corrects all strips, and stands above measured_turn.",
            inline=True,
            fields={
                "style": OneOf(
                    help="Its family.", required=True, example="fixed wrap", options=tuple(FAMILIES)
                ),
                "holds": OneOf(
                    help="The line it grips, where the family can grip either.", example="main",
                    options=("both", "main", "backup"),
                ),
                "strip": Measure(
                    help="Length it was cut to.", required=True, example="245 mm", dimension="length", low="5 cm",
                    high="5 m", banded=False,
                ),
                "past_middle": Measure(
                    help="How far its end lies beyond the middle of the backup's outer face, the way it is wound; "
                    "negative where it falls short.",
                    required=True, example="-5 mm", dimension="length", low="-60 mm", high="60 mm", banded=False,
                ),
            },
        ),
    },
)

HOLD = KeyGroup(
    help="What a tape resists before the sliding line slips: drag + friction x force between the lines.",
    when_absent="defaults",
    fields={
        "drag": Measure(
            help=HOLD_PARTS["drag"].help,
            dimension="force",
            low="0 N",
            high="5 kN",
            spread=0.8,
            default={"low": "0.1 N", "value": "0.5 N", "high": "2 N"},
        ),
        "friction": Measure(
            help=HOLD_PARTS["friction"].help,
            dimension="number",
            low="0",
            high="1.5",
            spread=0.4,
            default={"low": 0.15, "value": 0.25, "high": 0.35},
        ),
    },
)

JOINTS = Repeat(
    help="Places where two sections of the lines are joined.",
    item=KeyGroup(
        help="One joint.",
        fields={
            "at": Measure(
                help="Distance from anchor A.",
                required=True,
                example="25 m",
                dimension="length",
                low="0 m",
                high="5 km",
                banded=False,
            ),
            "mass": Measure(
                help="Mass of hardware or sewing.",
                default="0 g",
                dimension="mass",
                low="0 g",
                high="20 kg",
            ),
            "tied": Flag(help="Whether main and backup are tied together there.", default=False),
        },
    ),
)

TIES = KeyGroup(
    help="Further places where main and backup are tied together for good.",
    fields={
        "at": Series(
            help="Distances from anchor A.",
            required=True,
            example=["15 m", "35 m"],
            item=Measure(help="", dimension="length", low="0 m", high="5 km"),
            longest=500,
        ),
    },
)
