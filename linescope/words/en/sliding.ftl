# Sliding: what lets go by itself, where slope alone is enough, and what a crossing does.

sliding = What lets go by itself, hold by hold
sliding-crossing = A crossing there and back
sliding-question = How far can the sliders run, and what do the loops look like then?

sliding-hold = Hold
sliding-hold-low = low
sliding-hold-value = as given
sliding-hold-high = high

## Figures.  `.head` is for a narrow column.

sliding-gone-empty = tapes that let go before anyone steps on
    .head = tapes that let go, empty
sliding-most-empty = most line that slides through any one of them
    .head = slip, empty
sliding-loops-empty = loops then, nobody on the line
    .head = loops, empty
sliding-gone-walker = tapes that have let go with the walker where he stands
    .head = tapes that let go, walker
sliding-most-walker = most line that has slid through any one of them
    .head = slip, walker
sliding-loops-walker = loops then, with the walker
    .head = loops, walker
sliding-crossing-slip-mean = line that slides through a tape there and back, on average
    .head = slip, mean
sliding-crossing-slip-most = line that slides through a tape there and back, at most
    .head = slip, most
sliding-crossing-end-most = largest shift left at a tape afterwards, against as taped
    .head = shift left
sliding-crossing-work = friction work
    .head = friction work
sliding-crossing-loops-after = loops of the empty line afterwards
    .head = loops afterwards

## Notes

sliding-unknown = It is not known which tapes let go by themselves: no state was reached with the hold as given.
sliding-let-go = With the hold as given { $count ->
        [one] tape { $tapes } lets
       *[other] { $few ->
            [yes] tapes { $tapes } let
           *[no] { $count } of the { $total } tapes that slide let
        }
    } go before anyone steps on, by up to { $slip }. Loops are then { $loops }; as taped they were { $before }.
sliding-let-go-then = With the walker then where he stands { $count ->
        [one] tape { $tapes } has
       *[other] { $few ->
            [yes] tapes { $tapes } have
           *[no] { $count } of the { $total } tapes that slide have
        }
    } let go, by up to { $slip }; loops { $loops }, as taped { $before }.
sliding-let-go-walker = With the hold as given { $count ->
        [one] tape { $tapes } lets
       *[other] { $few ->
            [yes] tapes { $tapes } let
           *[no] { $count } of the { $total } tapes that slide let
        }
    } go once the walker stands where he does, none on the empty line: by up to { $slip }. Loops are then { $loops }; as taped they were { $before }.
sliding-none = With the hold as given no tape lets go by itself { $walker ->
        [yes] on the empty line or with the walker where he stands
       *[no] on the empty line
    }.
sliding-level-none = With { $hold ->
        [low] low
       *[high] high
    } hold none does.
sliding-level-unknown = With { $hold ->
        [low] low
       *[high] high
    } hold it is not known: no state was reached.
sliding-level = With { $hold ->
        [low] low
       *[high] high
    } hold, { $walker ->
        [yes] with the walker where he stands
       *[no] on the empty line
    }, { $count ->
        [one] tape { $tapes } lets
       *[other] { $few ->
            [yes] tapes { $tapes } let
           *[no] { $count } of the { $total } tapes that slide let
        }
    } go, by up to { $slip }; loops { $loops }.
sliding-downhill = Tapes { $first } to { $last }, { $stretch } from A, lie where the main is as steep as { $slope }: slope alone is enough to start clean sliders there (walker at his place, hold as given).
    .each = tapes { $first } to { $last } ({ $stretch } from A, up to { $slope })
    .many = Slope alone is enough to start clean sliders at { $each } (walker at his place, hold as given).
sliding-no-downhill = The main is nowhere steep enough for slope alone to start a clean slider.
sliding-basis-crossing = For a crossing, the line that slides on the way is counted, both ways added up, without what had slid before it.

## Picture

sliding-title = { $changes ->
        [no] Loops taped at { $taped } stay within { $change } of that, however little the tapes hold
       *[yes] { $crossed ->
            [yes] Loops taped at { $taped } can hang at { $low } once somebody has crossed, and at { $settled } once no tape holds
           *[no] Loops taped at { $taped } can hang at { $settled } once no tape holds
        }
    }
sliding-under = { $name } · { $where } · each row one state of the same line
sliding-picture-state = { $count ->
        [one] one state
       *[other] { $count } states
    }, { $where }
sliding-picture-taped = As taped: no slip has happened.
sliding-picture-high = Once over and back, tapes that hold well (high end of the hold).
sliding-picture-low = Once over and back, tapes that hold poorly (low end of the hold).
sliding-picture-settled = Settled: no tape holds at all, without any friction.
sliding-picture-row = { $name } { $moved ->
        [yes] Loops { $loops }; lines slid up to { $slip } from as taped.
       *[no] Loops { $loops }.
    }
sliding-picture-row-drawn = { $row } { $drawn ->
        [bars] Each bar is one loop: how deep, by the scale at A.
       *[stretched] Depths are drawn { $times } times too large.
    }
sliding-legend-main = main, drawn straight
sliding-legend-bars = a bar for each loop, as long as it is deep
sliding-legend-settled = below: backup settled
sliding-legend-taped = below: backup as taped
sliding-legend-loops = backup in its loops
sliding-legend-walker = the walker is here (sign)
sliding-legend-downhill = clean sliders run downhill here (middle friction)
sliding-picture-changed = The loop that { $what ->
        [loses] loses
       *[gains] gains
    } most, true to scale: bay { $bay }, { $at } from A
sliding-picture-loop = { $state ->
        [taped] as taped
       *[settled] settled
    }: { $depth }
sliding-picture-hold = Hold of a tape: drag { $drag } (the pull that moves a line through it when nothing presses), plus { $friction } of the pressing force.
sliding-picture-ends = The two states are the extremes of friction; a single loop can be deeper or shallower than in both.
sliding-picture-between = Every loop of the crossings shown lies between as taped and settled.
sliding-picture-outside = A single loop can lie outside these two states: bay { $bay } is { $now } with { $hold ->
        [low] low
       *[high] high
    } hold, { $taped } as taped, { $settled } settled.
sliding-picture-no-crossing = A walker's crossing was not computed: after it loops may be deeper or shallower than in both.
sliding-picture-test = Hang a small weight on a sample tape and note when it slips: that is the hold to write down.
