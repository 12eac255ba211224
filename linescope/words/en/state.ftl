# The rig at rest: what was laid out, and the states that were found.

state = Tension and sag
state-rig = Span { $span }, { $way ->
        [rising] rising { $share } towards B
        [falling] falling { $share } towards B
       *[level] level
    }; { $given ->
        [tension] { $amount } standing at { $end }
       *[length] { $amount } of main, unstretched
    }; { $tapes ->
        [one] one tape or tie
       *[other] { $tapes } tapes and ties
    }; spacing and excess stated for { $measured_on } main.
state-measured-slack = slack
state-measured-tensioned = tensioned

## Names of states

state-line = State
state-standing = standing, nobody on the line, as taped
state-standing-held = standing, nobody on the line, hold as given
state-walker = with the walker, as taped
state-walker-held = with the walker, hold as given
state-walker-settled = with the walker, settled
state-empty-settled = nobody on the line, settled

## Figures.  `.head` is for a narrow column.

state-tension-a = main at A
state-tension-b = main at B
state-backup-tension-most = largest tension in the backup
    .head = most in the backup
state-sag = main at its lowest, below the chord
    .head = main below the chord
state-loops = loop depth
    .head = loops
state-excesses = excess of the backup
    .head = excess

## Notes

state-tight = The backup is tight in { $count } of { $total } bays: it carries load before the main fails, up to { $share } of the pair's tension (least excess { $excess }).
state-overload = The { $line } is loaded beyond its { $known }: { $tension }, against { $strength }.
state-beyond-curve = The { $line } is loaded beyond the last point of its stretch curve; the curve is extended as a straight line (assumed).
state-unstable = The state found is not stable: a small push moves the line elsewhere.
state-others = { $count ->
        [one] There is another settled state for these sliders; shown is the one reached by lowering the hold slowly. The search is not exhaustive.
       *[other] There are { $count } other settled states for these sliders; shown is the one reached by lowering the hold slowly. The search is not exhaustive.
    }
state-basis-slides = As taped: no line has slid through a tape. Hold as given: lines slide where their tapes cannot hold them. Settled: where the sliders come to rest without any friction.
state-basis-fixed = Every tape and tie holds both lines: as taped and settled are the same.
state-basis-proof = Forces balance to better than one part in { $parts } of the weight.

state-line-main = main
state-line-backup = backup
